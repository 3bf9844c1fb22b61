// Measured it? A slip test, and runs whose slip, fuel, load or pull correct the draft of the tool and the soil.

import { figure, table } from "./answer.js";
import { BadFile, does, dropPlace, enter, headline } from "./door-parts.js";
import { numberOf, rowsOf } from "./door-csv.js";
import { make, fill } from "./dom.js";
import * as form from "./form.js";
import { Question } from "./request.js";
import { range, rounded, unitOf, words } from "./units.js";
import { plainly } from "./words.js";

export const calculation = "calibration";

const NAMES = {
  speed: "speed",
  ground_speed: "speed",
  depth: "depth",
  slope: "slope",
  slip: "slip",
  fuel: "fuel_rate",
  fuel_rate: "fuel_rate",
  fuel_use: "fuel_rate",
  load: "engine_load",
  engine_load: "engine_load",
  pull: "pull",
  draft: "pull",
};
const KINDS = { speed: "Speed", depth: "Depth", slip: "WheelSlip", slope: "Slope", fuel_rate: "FuelRate", engine_load: "Efficiency", pull: "Pull" };
// Units as headings write them without the strokes that they may not hold.
const UNITS = { kmh: "km/h", kph: "km/h", lh: "L/h", "l/h": "L/h", galh: "gal/h", gph: "gal/h", kn: "kN", pct: "%", percent: "%" };
// Standard deviations to either side within which 9 in 10 lie.
const NINE_IN_TEN = 1.645;
const CHANGED = "changed";
const MEASURED = ["slip", "fuel_rate", "engine_load", "pull"];

let dropped = [];
let file = "";
let found = null;
let lastJob = null;
// Multiplier, cone index and ranges of the draft as they were before what was learned was put to use.
let before = null;
let once = () => {};

export function start(door, { again }) {
  once = again;
  const drop = dropPlace("Drop a trial log here, or choose it: a row for each run, columns such as speed, depth, slip, fuel, load, pull.", ".csv,.txt,.tsv,text/csv", (text, name) => {
    dropped = runsOf(text);
    file = name;
    again();
    return `${dropped.length} runs of ${name} are taken beside those entered.`;
  });
  door.querySelector(".rest").append(drop);
  entered(door);
}

// Only what the slip was measured by asks for figures.
export function entered(door) {
  const way = form.control("page/slip_by").value;
  for (const entry of door.querySelectorAll('[name^="slip/"]')) entry.closest(".control").hidden = !entry.name.startsWith(`slip/${way}/`);
}

function runsOf(text) {
  const faults = [];
  const runs = rowsOf(text, NAMES, [["speed"], MEASURED]).map((line) => {
    const run = {};
    for (const [name, cell] of Object.entries(line.row)) {
      const value = numberOf(line, name, faults);
      if (value === undefined) continue;
      const unit = UNITS[cell.unit.toLowerCase()] ?? (cell.unit || unitOf(KINDS[name]));
      run[name] = `${value} ${unit}`;
    }
    if (run.speed === undefined) faults.push(`Line ${line.line}: no speed.`);
    if (!MEASURED.some((name) => run[name] !== undefined)) faults.push(`Line ${line.line}: neither slip nor fuel, load or pull.`);
    return run;
  });
  if (faults.length > 0) throw new BadFile(faults);
  if (runs.length > 50) throw new BadFile([`It has ${runs.length} runs; 50 are as many as can be learned from at once.`]);
  return runs;
}

export function questions(job) {
  const slip = slipQuestion();
  const trial = new Question(calculation);
  trial.carry(job.match, "tractor", "implement", "soil");
  if (before !== null && form.choice("implement") !== CHANGED) before = null;
  if (before !== null) unlearn(trial.body);
  trial.takeRows("/runs");
  const typed = trial.body.runs?.length ?? 0;
  dropped.forEach((run, place) => trial.put(`/runs/${typed + place}`, run));
  if (slip === null && trial.body.runs === undefined) {
    return "Enter what was read in the cab: a speed, and slip, fuel or engine load at it; two or three runs at different speeds or depths say most. Or a slip test: mark a wheel, count its turns over a measured distance at work and with the tool raised.";
  }
  return [trial.body.runs === undefined ? null : trial, slip].filter((one) => one !== null);
}

// What was learned from these runs must not be what they are held against, or they would count twice.
function unlearn(body) {
  const { multiplier, cone, ranges } = before;
  const tools = body.implement.tools?.map((tool, place) => ({ ...tool, draft_range: ranges[place] }));
  body.implement = { ...body.implement, tools, draft_multiplier: multiplier };
  body.soil = { ...body.soil, cone_index: cone };
}

function slipQuestion() {
  const way = form.control("page/slip_by").value;
  const question = new Question("slip");
  question.takeRows(`/${way}/runs`);
  return question.body[way] === undefined ? null : question;
}

export function shown(job, asked, answers) {
  const of = (name) => answers[asked.findIndex((one) => one.calculation === name)];
  const [slip, learned] = [of("slip"), of(calculation)];
  const nodes = [];
  if (learned !== undefined) nodes.push(...lesson(job, learned, asked[0]));
  if (slip !== undefined) nodes.push(...measured(job, slip, learned === undefined));
  return nodes;
}

function measured(job, { slip, standard_error: error, runs }, first) {
  const wide = error === null ? "" : `, give or take ${rounded(error.value, 2)} points`;
  const here = job.answer.at_work.slip;
  const text = `Slip ${words(slip)}${wide}.`;
  return [
    first ? headline(text) : make("h4", {}, text),
    make("p", {}, `${runs.length === 1 ? "One run" : `${runs.length} runs`}. `, here === null ? "" : `At ${words(job.answer.at_work.speed)} the page calculates ${words(here)}${range(here) ? `, ${range(here)}` : ""}.`),
    does("Take it as a run at the speed above", () => {
      const row = [0, 1, 2].find((one) => !form.counts(form.control(`calibration/runs/${one}/slip`))) ?? 2;
      enter(`calibration/runs/${row}/speed`, `${rounded(job.answer.at_work.speed.value, 4)} ${job.answer.at_work.speed.unit}`);
      enter(`calibration/runs/${row}/slip`, `${rounded(slip.value, 4)} %`);
      form.control(`calibration/runs/${row}/slip`).closest("details.group")?.setAttribute("open", "");
    }),
  ];
}

function lesson(job, answer, question) {
  const { draft_multiplier: draft, cone_index: cone } = answer.learned;
  found = answer;
  lastJob = job;
  const odd = answer.runs.map((run, place) => (run.stands_out ? place + 1 : 0)).filter((place) => place > 0);
  const rows = answer.runs.map((run, place) =>
    make("tr", { class: run.stands_out ? "broken" : "" }, make("th", { scope: "row" }, `Run ${place + 1}${run.stands_out ? ", stands out" : ""}`), ...pairs(question.body.runs[place], run.predicted)),
  );
  return [
    headline(`It pulls ${times(draft.median)} the table.`),
    make("p", {}, plainly(answer.summary, form.labelOfLast)),
    make(
      "dl",
      { class: "figures" },
      figure("Draft, times the table's", rounded(draft.median.value), range(draft.median), draft.informed ? `known ${rounded(draft.times_narrower, 2)} times better than before` : "the runs say nothing of it"),
      figure("Firmness of the soil", words(cone.median), range(cone.median), cone.informed ? `known ${rounded(cone.times_narrower, 2)} times better than before` : "the runs say nothing of it"),
    ),
    odd.length > 0 ? make("p", { class: "broken" }, `Run ${odd.join(" and ")} does not go with the others. It counts all the same.`) : null,
    table("Read / calculated with what was learned", ["", "Slip", "Fuel", "Load", "Pull"], rows, "money"),
    make("p", { class: "does" }, draft.informed || cone.informed ? does("Use it for this tool and soil", use) : "", before === null ? null : does("Take it back", back)),
    dropped.length > 0 ? make("p", { class: "does" }, does(`Leave ${file} out`, () => leave())) : null,
  ].filter((one) => one !== null);
}

function times({ value }) {
  return Math.abs(value - 1) < 0.015 ? "as" : `${rounded(value, 3)} times`;
}

function pairs(run, predicted) {
  return MEASURED.map((name) => {
    const text = run[name] === undefined ? "" : `${run[name]} / `;
    return make("td", {}, `${text}${words(predicted[name], 2)}`);
  });
}

// The corrected tool is the page's from here on: yard, ruler, cost and link follow.
function use(button) {
  const { draft_multiplier: draft, cone_index: cone } = found.learned;
  const { implement, soil } = lastJob.match.body;
  before ??= { multiplier: implement.draft_multiplier, cone: soil.cone_index, ranges: implement.tools.map(({ draft_range: range }) => range) };
  if (draft.informed) {
    enter("match/implement/draft_multiplier", String(rounded(draft.median.value, 4)));
    const known = Math.min(NINE_IN_TEN * draft.standard_deviation.value, 100);
    implement.tools.forEach((_, place) => enter(`match/implement/tools/${place}/draft_range`, `${rounded(known)} %`));
  }
  if (cone.informed) enter("match/soil/cone_index", words(cone.median, 4));
  fill(button, "Used: the page now answers with it");
}

function back() {
  const { multiplier, cone, ranges } = before;
  before = null;
  enter("match/implement/draft_multiplier", String(multiplier ?? ""));
  ranges.forEach((range, place) => enter(`match/implement/tools/${place}/draft_range`, String(range ?? "")));
  enter("match/soil/cone_index", String(cone ?? ""));
}

function leave() {
  dropped = [];
  file = "";
  once();
}
