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

// Limits of hitch and oil, and of ballast.
export const CHECKS = {
  "pump-flow": "flow of the pump",
  pressure: "pressure",
  outlets: "outlets",
  "outlet-flow": "flow through an outlet",
  phasing: "cylinders in step",
  cooling: "heat of the oil",
  "three-point": "three-point hitch",
  drawbar: "drawbar",
  "pto-type": "PTO shaft",
  "pto-power": "PTO power",
  "tongue-share": "weight on the tongue",
  "hitch-load": "load on the hitch",
  "front-axle": "the front axle",
  "tire-load": "tires",
  width: "width on the road",
  length: "length on the road",
  "mass-ratio": "tool against tractor",
};

export const WEIGHTS = {
  slip: "slip",
  pull: "what the soil carries",
  "front-axle": "the front axle, pulling",
  "front-lift": "the pull that lifts the front",
  "static-split": "weight in front, standing",
  "axle-load": "load on the subsoil",
  power: "power",
  "front-raised": "the front axle, tool raised",
  "rear-raised": "the rear axle, tool raised",
};

// What other questions are called here.
const PLACES = { match: "the job above", completion: "“Done before freeze-up?”", cost: "“What it costs”", draft: "the draft alone", ballast: "“Does it need weight?”" };

// A sentence of the service without the words of requests in it; `labelOf` gives the label that one of them has here.
export function plainly(text, labelOf) {
  return text
    .replace(/`?\/v1\/([a-z-]+)(?:\/[a-z-]+)*`?/g, (whole, name) => PLACES[name] ?? "the documentation")
    .replace(/\b[a-z]+(?:_[a-z]+)+\b/g, (name) => (labelOf(name) === null ? name.replaceAll("_", " ") : `“${labelOf(name)}”`))
    .replaceAll("`", "");
}
