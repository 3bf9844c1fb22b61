// Own it, or hire it done? The cost of one's own over the area of a year, and where the two lines cross.

import { chart, headline } from "./door-parts.js";
import { make } from "./dom.js";
import { Question } from "./request.js";
import { called, range, rounded, words } from "./units.js";

export const calculation = "batch/cost";

const PARTS = [0.15, 0.2, 0.25, 0.33, 0.42, 0.5, 0.6, 0.75, 0.9, 1, 1.2, 1.4, 1.7, 2];
const TOTAL = "/total/per_area";

export function questions(job, door) {
  const cost = job.followed.find(([question]) => question.calculation === "cost");
  if (cost === undefined) return "Answered once “What it costs” above is.";
  const [asked, { area }] = cost;
  door.cost = cost[1];
  const batch = new Question(calculation);
  const { hire_rate: hire, ...scenario } = asked.body;
  batch.body = { scenario, vary: { "/work/area": { unit: area.unit, values: PARTS.map((part) => Number(rounded(part * area.value, 4))) } }, columns: [TOTAL] };
  return [batch, widthQuestion(job, scenario)];
}

// How wide the tool should be, its price in proportion to its width.
function widthQuestion(job, scenario) {
  const { value, unit } = job.answer.capacity.width;
  const question = new Question("cost");
  const [tractor, tool] = scenario.machines;
  question.body = { ...scenario, machines: [tractor, { ...tool, width: `${rounded(value, 5)} ${unit}` }], best_width: { machine: tool.name } };
  return question;
}

export function shown(job, [question], [answer, { best_width: best }], door) {
  const { total, area, hire } = door.cost;
  const areas = question.body.vary["/work/area"].values;
  const own = answer.columns[TOTAL].values.map((value, place) => [areas[place], value]).filter(([, value]) => value !== null);
  const unit = called(area.unit);
  const lines = [{ points: own, words: "your own", class_: "main" }];
  const marks = [{ at: area.value, words: "you now" }];
  if (hire !== null) {
    lines.push({ points: [[areas[0], hire.hire.value], [areas.at(-1), hire.hire.value]], words: "hired", class_: "second" });
    if (hire.break_even !== null && hire.break_even.value > areas[0] && hire.break_even.value < areas.at(-1)) marks.push({ at: hire.break_even.value, words: "even" });
  }
  return [
    headline(headOf(hire, total, unit)),
    make("p", {}, hire === null ? `Your own costs ${rounded(total.per_area.value)} per ${unit} on ${words(area)} a year. Enter what the hired job costs to compare.` : hire.says),
    make(
      "figure",
      {},
      make("figcaption", {}, `Cost per ${unit} over the ${unit} worked in a year`),
      chart(door.querySelector(".door-answer"), { name: inWords(own, hire, unit), xName: `${unit} a year`, yName: `cost per ${unit}`, lines, marks }),
    ),
    best === null ? null : make("p", {}, make("b", {}, `How wide? `), widthInWords(best)),
  ].filter((one) => one !== null);
}

function widthInWords({ width, within, present_width: present, present_cost: now, cost }) {
  const good = range(width) ? `; from ${range(width)} it costs at most ${words(within)} more` : "";
  const saved = now.value - cost.value;
  const than = saved > 0.005 * now.value ? `, ${rounded(saved, 2)} a year less than your ${words(present, 3)}` : `; your ${words(present, 3)} is about right`;
  return `${words(width, 2)} wide costs least on this land, its price in proportion to its width${than}${good}. What being late costs is not counted in it.`;
}

function headOf(hire, total, unit) {
  if (hire === null) return `Your own: ${rounded(total.per_area.value)} per ${unit}.`;
  if (hire.cheaper === "equal") return "Both cost the same.";
  const saved = rounded(Math.abs(hire.difference_per_year.value));
  return hire.cheaper === "own" ? `Own it: ${saved} a year less.` : `Hire it: ${saved} a year less.`;
}

function inWords(own, hire, unit) {
  const [first, last] = [own[0], own.at(-1)];
  const from = `Your own costs ${rounded(first[1])} per ${unit} on ${rounded(first[0])} ${unit} a year and ${rounded(last[1])} on ${rounded(last[0])}.`;
  if (hire === null) return from;
  const even = hire.break_even === null ? "" : ` Owning costs less from ${words(hire.break_even)} a year.`;
  return `${from} Hired it costs ${rounded(hire.hire.value)}.${even}`;
}
