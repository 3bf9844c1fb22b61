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
