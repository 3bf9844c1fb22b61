// When it would be done at any pace: the window is asked once, over a range of paces, and lanes read their day from that.

import { ask, Trouble } from "./ask.js";
import { rounded, system } from "./units.js";

// Paces, each some per cent above the one before, which is as near as a day can be said.
const PACES = { metric: { first: 0.25, last: 40 }, us: { first: 0.6, last: 100 } };
const MANY = 96;

let curve = null;
let fetched = "";

function paces() {
  const { first, last } = PACES[system];
  return Array.from({ length: MANY }, (_, place) => Number(rounded(first * (last / first) ** (place / (MANY - 1)), 4)));
}

// Ask for the days of this window, if it is not the one that is known; whether there is anything new. A lane stands at a
// speed that holds, so its pace is taken as it is: what is uncertain is the weather.
export async function learnFinish({ body }) {
  const { capacity, capacity_low: low, capacity_high: high, ...scenario } = body;
  const unit = capacity.split(" ")[1];
  const key = JSON.stringify([scenario, unit]);
  if (key === fetched) return false;
  const values = paces();
  const vary = { "/capacity": { unit, values } };
  try {
    const answer = await ask("finish", "v1/batch/completion", { scenario: { ...scenario, capacity: `1 ${unit}` }, vary, columns: ["/dates/likely"] });
    if (answer === null) return false;
    curve = { values, days: answer.columns["/dates/likely"].values, last: scenario.end };
    fetched = key;
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    // What is wrong with the window is said where it is set.
    curve = null;
    fetched = "";
  }
  return true;
}

// The day by which it is done 8 times in 10 at this pace: of the next slower one that was asked. Null before anything is
// known; `day` is null where it is not within the window.
export function finishAt(pace) {
  if (curve === null) return null;
  const place = curve.values.findLastIndex((value) => value <= pace * 1.0001);
  return { day: place < 0 ? null : curve.days[place], last: curve.last };
}
