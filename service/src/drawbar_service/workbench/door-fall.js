// How does the whole fall fit? Fields, tools, tractors and drivers, day by day.

import { table } from "./answer.js";
import { dayInWords } from "./calendar.js";
import { called, everyOne, headline, list, machineOf } from "./door-parts.js";
import { fill, make } from "./dom.js";
import * as form from "./form.js";
import { Question, windowQuestion } from "./request.js";
import { rounded, words } from "./units.js";
import { inHundred, plainly } from "./words.js";

export const calculation = "season";
// A plan over the years of a record takes longer than other answers.
export const patience = 90000;

const DAY = 86400000;
const MOST_DRIVERS = 24;
const LETTER = 8;
const NAMES_WIDE = 110;
const KINDS = { field: "Fields", tractor: "Tractors" };

let offered = "";

// Boxes for what can be chosen by now, each ticked unless it was not before.
export function renew(door) {
  const names = Object.fromEntries(Object.keys(KINDS).map((kind) => [kind, everyOne(kind)]));
  const key = JSON.stringify(names);
  if (key === offered) return;
  offered = key;
  const left = new Set([...door.querySelectorAll(".choose input:not(:checked)")].map(({ value }) => value));
  const boxes = Object.entries(KINDS).map(([kind, title]) =>
    make("fieldset", { class: "choose", "data-kind-of": kind }, make("legend", {}, title), ...names[kind].map((name) => box(kind, name, !left.has(name)))),
  );
  fill(door.querySelector(".rest"), ...boxes);
}

function box(kind, name, ticked) {
  const input = make("input", { type: "checkbox", value: name });
  input.checked = ticked;
  return make("label", {}, input, make("span", {}, called(kind, name)));
}

function picked(door, kind) {
  return [...door.querySelectorAll(`[data-kind-of="${kind}"] input:checked`)].map(({ value }) => value);
}

export function questions(job, door) {
  const works = [0, 1, 2].map((place) => form.control(`page/work/${place}`)).filter(form.counts).map(({ value }) => value);
  const [fields, tractors] = ["field", "tractor"].map((kind) => picked(door, kind));
  if (fields.length === 0 || tractors.length === 0 || works.length === 0) return "Choose a field, a tractor and a work at least.";
  const question = new Question(calculation);
  tractors.forEach((name, place) => {
    question.put(`/fleet/tractors/${place}`, { name: called("tractor", name), tractor: machineOf("tractor", name, job) }, "match/tractor");
  });
  [...new Set(works)].forEach((name, place) => {
    question.put(`/fleet/implements/${place}`, { name: called("implement", name), implement: machineOf("implement", name, job) }, "match/implement");
  });
  const drivers = Number.parseInt(form.control("page/drivers").value, 10) || tractors.length;
  question.put("/fleet/operators", Array.from({ length: Math.min(Math.max(drivers, 1), MOST_DRIVERS) }, (_, place) => ({ name: `driver ${place + 1}` })), "page/drivers");
  const names = fields.map((name) => called("field", name));
  fields.forEach((name, place) => {
    const { soil, field } = machineOf("field", name, job);
    const { area, slope, efficiency, shape } = field ?? {};
    question.put(`/fields/${place}`, { name: names[place], area, soil, slope, efficiency, shape }, "match/field");
    question.origins.set(`/fields/${place}/area`, "match/field/area");
  });
  works.forEach((name, place) => question.put(`/work/${place}`, workOf(works, place, names)));
  question.take("cost/work/fuel/price", "/prices/fuel");
  question.take("cost/work/labor/wage", "/prices/labor");
  return [windowQuestion(question)];
}

// The same tool twice is two works.
function workName(works, place) {
  const before = works.slice(0, place).filter((one) => one === works[place]).length;
  return `${called("implement", works[place])}${[", first time", ", second time", ", third time"][before]}`.replace(before === 0 ? ", first time" : "", "");
}

function workOf(works, place, fields) {
  const work = { name: workName(works, place), fields, implements: [called("implement", works[place])] };
  if (place === 0) return work;
  const rest = Number.parseInt(form.control("page/rest").value, 10);
  return { ...work, surface: "tilled", after: [{ work: workName(works, place - 1), rest_days: Number.isFinite(rest) ? rest : 0 }] };
}

export function shown(job, [question], [answer], door) {
  const { verdict, odds, relax, years, cost } = answer;
  const { start, end, freeze_up: frost } = question.body.window;
  const chance = odds === null ? "" : ` ${inHundred(odds.finish)}.`;
  const head = verdict.finishes === null ? "It does not all fit." : `${verdict.in_time ? "Done" : "Late: done"} by ${dayInWords(verdict.finishes)}.${chance}`;
  const levers = (years?.levers ?? []).filter(({ gain }) => gain.value > 0.5).slice(0, 4).map(({ detail }) => plainly(detail, form.labelOfLast));
  return [
    headline(head, verdict.in_time ? "holds" : "fails"),
    make("p", {}, plainly(verdict.summary, form.labelOfLast)),
    answer.plan.length > 0 ? lanes(question, answer, door, start, end, frost) : null,
    list(answer.tasks.map(taskInWords), "tasks"),
    levers.length + relax.length > 0 ? make("h4", {}, "What would help") : null,
    list([...levers, ...relax.slice(0, 4).map(({ detail }) => plainly(detail, form.labelOfLast))]),
    make("p", {}, `${words(cost.fuel)} of fuel${cost.total.value > 0 ? `; ${rounded(cost.total.value)} in all for fuel and drivers` : ""}.`),
    answer.calendar.length > 0 ? make("details", { class: "by-day" }, make("summary", {}, "Day by day"), byDay(answer.calendar)) : null,
  ].filter((one) => one !== null);
}

function taskInWords({ work, field, starts, finishes, odds }) {
  if (finishes === null) return [make("b", {}, `${work}, ${field}: `), "not in the plan"];
  const when = starts === finishes ? dayInWords(starts) : `${dayInWords(starts)} to ${dayInWords(finishes)}`;
  return [make("b", {}, `${work}, ${field}: `), `${when}${odds === null ? "" : `, in time ${inHundred(odds)}`}`];
}

// ---- a lane for each tractor

function daysBetween(from, to) {
  return Math.round((Date.parse(to) - Date.parse(from)) / DAY);
}

function lanes({ body }, { plan, verdict }, door, start, end, frost) {
  const last = [end, verdict.finishes, frost, plan.at(-1).date].filter((one) => one).sort().at(-1);
  const days = daysBetween(start, last) + 1;
  const works = body.work.map(({ name }) => name);
  const fields = body.fields.map(({ name }) => name);
  const wide = ((door.querySelector(".door-answer").clientWidth || 600) - NAMES_WIDE) / days;
  const box = make("div", { class: "fall", role: "img", "aria-label": `Each tractor by day from ${dayInWords(start)} to ${dayInWords(last)}; in words under “Day by day”.` });
  box.style.setProperty("--days", String(days));
  body.fleet.tractors.forEach(({ name }, place) => {
    const [label, lane] = [make("b", { class: "fall-name" }, name), make("div", { class: "fall-lane" })];
    for (const one of [label, lane]) one.style.setProperty("--row", String(place + 1));
    for (const run of runsOf(plan.filter(({ tractor }) => tractor === name))) {
      const many = daysBetween(run.from, run.to) + 1;
      const fits = (text) => text.length * LETTER < many * wide - 8;
      const number = String(fields.indexOf(run.field) + 1);
      const block = make("span", { class: `block work-${works.indexOf(run.work)}` }, make("b", {}, fits(run.field) ? run.field : number), fits(run.operator) ? make("span", {}, run.operator) : null);
      block.style.gridColumn = `${daysBetween(start, run.from) + 1} / span ${many}`;
      lane.append(block);
    }
    box.append(label, lane);
  });
  const scale = make("div", { class: "fall-lane fall-days" });
  for (let day = 0; day < days; day += 7) {
    const iso = new Date(Date.parse(start) + day * DAY).toISOString().slice(0, 10);
    const tick = make("span", {}, dayInWords(iso));
    tick.style.gridColumn = `${day + 1} / span ${Math.min(7, days - day)}`;
    scale.append(tick);
  }
  scale.style.setProperty("--row", String(body.fleet.tractors.length + 1));
  box.append(scale);
  const line = (iso, name, class_) => {
    const mark = make("i", { class: class_ }, make("em", {}, `${name} ${dayInWords(iso)}`));
    mark.style.setProperty("--at", String((daysBetween(start, iso) + 1) / days));
    return mark;
  };
  const marks = make("div", { class: "fall-marks" }, line(end, "due", "due"), frost === undefined ? null : line(frost, "frost", "frost"));
  marks.style.gridRow = `1 / span ${body.fleet.tractors.length}`;
  box.append(marks);
  const key = make(
    "ul",
    { class: "key" },
    ...works.map((name, place) => make("li", {}, make("i", { class: `work-${place}`, "aria-hidden": "true" }), ` ${name}`)),
    ...fields.map((name, place) => make("li", {}, make("b", {}, String(place + 1)), ` ${name}`)),
  );
  return make("div", { class: "fall-of" }, box, key);
}

// Days one after the other on one field at one work are one block.
function runsOf(rows) {
  const runs = [];
  for (const { date, field, work, operator } of rows) {
    const before = runs.at(-1);
    if (before?.field === field && before.work === work && before.operator === operator && daysBetween(before.to, date) <= 1) before.to = date;
    else if (before?.to !== date) runs.push({ from: date, to: date, field, work, operator });
  }
  return runs;
}

function byDay(calendar) {
  const rows = calendar.flatMap(({ day, lines }) =>
    lines.map(({ tractor, operators, works, fields, hours, area, finished }, place) =>
      make(
        "tr",
        {},
        make("th", { scope: "row" }, place === 0 ? day : make("span", { class: "unseen" }, day)),
        make("td", {}, tractor),
        make("td", {}, operators.join(", ")),
        make("td", {}, works.join(", ")),
        make("td", {}, `${fields.join(", ")}${finished.length > 0 ? ", done" : ""}`),
        make("td", {}, `${words(hours, 2)}, ${words(area, 2)}`),
      ),
    ),
  );
  return table("Day by day", ["Day", "Tractor", "Driver", "Work", "Field", "Hours and area"], rows);
}
