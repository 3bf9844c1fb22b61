// Which way of working is better? Chains of passes on the same land, side by side.

import { table } from "./answer.js";
import { dayInWords } from "./calendar.js";
import { called, headline, machineOf } from "./door-parts.js";
import { make } from "./dom.js";
import * as form from "./form.js";
import { Question, windowQuestion } from "./request.js";
import { range, rounded, words } from "./units.js";
import { plainly, VERDICTS } from "./words.js";

export const calculation = "system";

const WAYS = ["A", "B", "C"];
const PASSES = [0, 1, 2, 3];
const FIRST = { time: "fewest hours", fuel: "least fuel", cost: "least cost", passes: "fewest passes", cover: "most residue left", finish: "done first" };

export function questions(job) {
  const question = new Question(calculation);
  question.take("completion/area", "/area");
  WAYS.map((way, place) => passesOf(job, way, place)).filter(({ passes }) => passes.length > 0).forEach(({ way, passes, places }, at) => {
    question.put(`/systems/${at}/name`, way);
    passes.forEach(({ name, match, from }, pass) => {
      const start = `/systems/${at}/passes/${pass}`;
      question.put(`${start}/name`, name, `page/system/${places}/${from}`);
      question.put(`${start}/match`, match, `page/system/${places}/${from}`);
      for (const part of ["operation", "machine_per_area"]) question.take(`system/systems/${places}/passes/${from}/${part}`, `${start}/${part}`);
    });
  });
  if ((question.body.systems?.length ?? 0) < 2) return "Choose the passes of two ways at least.";
  question.take("system/residue/cover");
  if (question.body.residue !== undefined) question.take("system/residue/kind");
  question.take("cost/work/fuel/price", "/prices/fuel");
  question.take("cost/work/labor/wage", "/prices/labor");
  const calendar = windowQuestion(new Question(calculation)).body.window ?? {};
  if (calendar.workday !== undefined) question.put("/calendar/workday", calendar.workday, "match/field/workday");
  if (question.body.calendar !== undefined && calendar.start !== undefined) question.put("/calendar/first_date", calendar.start, "completion/start");
  const share = suitable(calendar);
  if (question.body.calendar !== undefined && share !== null) question.put("/calendar/suitable_share", share, "completion/suitable/mean");
  return [question];
}

// Soil is as it is set for the first pass, worked for those after it.
function passesOf(job, way, place) {
  const { tractor, soil, limits, field: { area, workday, ...field } = {} } = job.match.body;
  const passes = PASSES.filter((from) => form.counts(form.control(`page/system/${place}/${from}`))).map((from, order) => {
    const tool = form.control(`page/system/${place}/${from}`).value;
    const ground = order === 0 ? soil : { texture: soil.texture, surface: "tilled" };
    return { from, name: called("implement", tool), match: { tractor, implement: machineOf("implement", tool, job), soil: ground, field, limits } };
  });
  return { way, passes, places: place };
}

function suitable({ start, end, suitable: days }) {
  if (typeof days?.mean !== "number" || !start || !end) return null;
  const all = Math.round((Date.parse(end) - Date.parse(start)) / 86400000) + 1;
  return Number(Math.min(Math.max(days.mean / all, 0.01), 1).toFixed(4));
}

export function shown(job, questions, [answer]) {
  const { systems, verdict } = answer;
  const cells = (name, of) => make("tr", {}, make("th", { scope: "row" }, name), ...systems.map((one) => make("td", {}, of(one.totals, one))));
  const known = (quantity) => (quantity === null ? "–" : [words(quantity), range(quantity) ? make("span", { class: "note" }, ` ${range(quantity)}`) : ""]);
  const spread = (name, of) => make("tr", {}, make("th", { scope: "row" }, name), ...systems.map(({ totals }) => make("td", {}, ...[known(of(totals))].flat())));
  const rows = [
    cells("Passes", (totals) => String(totals.passes)),
    spread("Hours", ({ time }) => time),
    spread("Fuel", ({ fuel_per_area: fuel }) => fuel),
    spread("Cost, as far as priced", ({ cost }) => cost.per_area),
    spread("Ground covered at the end", ({ cover }) => cover),
    cells("Done on", ({ finish_date: date }) => (date === null ? "–" : dayInWords(date))),
  ];
  const firsts = verdict.criteria.map(({ criterion, systems: names, clear }) => make("li", {}, make("b", {}, `${capital(FIRST[criterion] ?? criterion)}: ${names.join(" and ")}`), clear ? "" : ", but close"));
  return [
    headline(headOf(verdict.criteria)),
    make("ul", {}, ...firsts),
    table("Side by side", ["", ...systems.map(({ name }) => `Way ${name}`)], rows, "beside"),
    ...systems.map(chain),
    make("p", { class: "note" }, "Which of these counts more is yours to say. Cost holds fuel, driver and what you entered for machines."),
  ];
}

function capital(text) {
  return `${text[0].toUpperCase()}${text.slice(1)}`;
}

function headOf(criteria) {
  const count = new Map();
  for (const { systems } of criteria.filter(({ systems: names }) => names.length === 1)) count.set(systems[0], (count.get(systems[0]) ?? 0) + 1);
  const [best] = [...count].sort(([, one], [, other]) => other - one);
  if (best === undefined) return "They are level.";
  return `Way ${best[0]} is first on ${best[1]} of ${criteria.length}.`;
}

// The passes of a way, with what the match says of each and what it leaves on the ground.
function chain({ name, passes }) {
  const steps = passes.map(({ name: tool, match, cover_after: cover, fuel_per_area: fuel }) => {
    const cover_ = make("i", { class: "cover", "aria-hidden": "true" });
    cover_.style.width = `${cover?.value ?? 0}%`;
    const said = match === null ? "" : `${VERDICTS[match.word].toLowerCase()} at ${words(match.speed)}`;
    return make(
      "li",
      { class: match !== null && match.word === "fails" ? "broken" : "" },
      make("b", {}, tool),
      ` ${[said, fuel === null ? "" : words(fuel), cover === null ? "" : `${rounded(cover.value, 2)} % covered after it`].filter((one) => one).join(", ")}`,
      make("span", { class: "cover-of", "aria-hidden": "true" }, cover_),
    );
  });
  return make("div", { class: "chain" }, make("h4", {}, `Way ${name}`), make("ol", {}, ...steps));
}
