// What the service names by a code, in words.

export { LIMITS, VERDICTS } from "./limits.js";

export const LEVERS = {
  "longer-day": "A longer day",
  "another-machine": "One more machine",
  "wider-tool": "A wider tool",
  faster: "Faster",
  "one-pass-fewer": "Once less over",
  "a-week-earlier": "A week earlier",
};

// What is assumed and no control shows, by the last part of its place in a request.
export const ASSUMED = {
  age: "Age",
  annual_use: "Works in a year",
  center_of_mass: "Its weight behind the hitch",
  center_of_mass_height: "Height of the weight",
  cone_index: "Cone index",
  diameter: "Overall diameter",
  drawbar_height: "Drawbar above ground",
  engine_speed: "Engine speed",
  front_lead: "Front wheels run ahead by",
  hitch_distance: "Hitch behind the rear axle",
  hitch_share: "Of its weight on the hitch",
  housing: "Housing a year",
  insurance: "Insurance a year",
  list_price: "List price",
  motion_resistance_ratio: "Rolling resistance",
  oil_share: "Oil, over the fuel",
  overhead: "Over the wage",
  pull_height: "Line of pull above ground",
  range_deviations: "Width of the table's range",
  speed_range: "Speeds of sound work",
  static_loaded_radius: "Loaded radius",
  taxes: "Taxes a year",
  time_lost: "Time lost",
  transmission_efficiency: "Through the transmission",
  turning_fuel_share: "Fuel in the turns",
  vertical_share: "Of its pull pressing down",
};

// Whose it is, where that is not plain.
export const ASSUMED_OF = [
  [/\/tires\/front\//, "front tires"],
  [/\/tires\/rear\//, "rear tires"],
  [/^\/(?:machines\/0|tractor)\//, "tractor"],
  [/^\/(?:machines\/1|implement)\//, "tool"],
];

// A share in percent as a count in a hundred, which never claims to be certain.
export function inHundred(share) {
  if (share.value > 99) return "over 99 in 100";
  if (share.value < 1) return "under 1 in 100";
  return `${whole(share)} in 100`;
}

export function inCases(share) {
  if (share.value <= 0) return "no case";
  if (share.value >= 100) return "every case tried";
  if (share.value > 99) return "more than 99 of 100 cases";
  return share.value < 1 ? "less than 1 of 100 cases" : `${whole(share)} of 100 cases`;
}

// Never more than it is, as the service writes it.
function whole(share) {
  return Math.floor(share.value + 1e-3);
}
