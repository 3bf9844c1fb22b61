// Which points pay? What the cost above says of the kinds of points that would fit.

import { table } from "./answer.js";
import { headline } from "./door-parts.js";
import { make } from "./dom.js";
import { called, rounded, words } from "./units.js";

// Its entries belong to the question of cost, which the page asks, with the rest.
export const calculation = "points";

export function questions(job, door) {
  const cost = job.followed.find(([question]) => question.calculation === "cost");
  if (cost === undefined) return "Answered once “What it costs” above is.";
  door.cost = cost[1];
  if (door.cost.wearing.length === 0) return "Enter what one of those fitted now costs and how much land a set of them works, and the same of others that would fit.";
  return [];
}

export function shown(job, questions, answers, door) {
  const [{ options, best }] = door.cost.wearing;
  const area = called(options[0].per_area.unit).replace("per ", "");
  const rows = options.map((one) =>
    make(
      "tr",
      { class: one.name === best ? "binding" : "" },
      make("th", { scope: "row" }, one.name),
      make("td", {}, words(one.life)),
      make("td", {}, rounded(one.sets_per_year, 2)),
      make("td", {}, rounded(one.per_area.value)),
      make("td", {}, rounded(one.per_year.value)),
    ),
  );
  return [
    headline(headOf(options, best)),
    options.length > 1 ? null : make("p", {}, "Enter others to compare."),
    table("Points", ["", "A set lasts", "Sets a year", `per ${area}`, "a year"], rows, "money"),
    make("p", {}, `On ${words(door.cost.area)} a year; with the labor to change them.`),
  ].filter((one) => one !== null);
}

function headOf(options, best) {
  const chosen = options.find(({ name }) => name === best);
  if (options.length === 1) return `${rounded(chosen.per_year.value)} a year for points.`;
  const other = options.find(({ name }) => name !== best);
  return `${best === options[0].name ? "Keep" : "Change to"} ${best}: ${rounded(other.per_year.value - chosen.per_year.value, 2)} a year less.`;
}
