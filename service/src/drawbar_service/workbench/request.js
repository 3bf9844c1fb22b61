// Requests from what is set on the page, and which control each part of a request came from.

import { control, counts, unshown, value } from "./form.js";
import { put, typedLeaf } from "./leaves.js";
import { recordOf } from "./record.js";
import { gearsOf, lists, rounded } from "./units.js";

const SAMPLES = 4096;
const POINTS = ["those fitted", "the others"];
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)$/;

// A request, the address to send it to, and the control behind a pointer.
export class Question {
  constructor(calculation) {
    this.calculation = calculation;
    this.path = `v1/${calculation}`;
    this.body = {};
    this.origins = new Map();
    this.carried = new Map();
  }

  put(pointer, part, name = null) {
    put(this.body, pointer, part);
    if (name !== null) this.origins.set(pointer, name);
  }

  // Put what is set in the control of this name, if anything is.
  take(name, pointer = name.slice(name.indexOf("/"))) {
    const entry = control(name);
    this.origins.set(pointer, name);
    if (entry === null || !counts(entry)) return;
    this.put(pointer, typed(entry), name);
  }

  takeAll() {
    for (const entry of document.querySelectorAll(`main [name^="${this.calculation}/"]`)) this.take(entry.name);
  }

  // Put parts of another question as they stand in it: what is wrong with one is told beside the control of that one.
  carry(other, ...parts) {
    for (const part of parts) {
      if (other.body[part] === undefined) continue;
      this.put(`/${part}`, other.body[part]);
      this.carried.set(part, other);
    }
  }

  // Put rows of a list of which any may be empty: those that are filled in, one after the other.
  takeRows(list) {
    const start = `${this.calculation}${list}/`;
    const filled = [...document.querySelectorAll(`main [name^="${start}"]`)].filter(counts);
    const rows = [...new Set(filled.map(({ name }) => name.slice(start.length).split("/")[0]))];
    rows.forEach((row, place) => {
      this.origins.set(`${list}/${place}`, `${start}${row}`);
      for (const { name } of filled.filter((one) => one.name.startsWith(`${start}${row}/`))) {
        this.take(name, `${list}/${place}${name.slice(start.length + row.length)}`);
      }
    });
    return rows.map(Number);
  }

  nameOf(pointer) {
    const other = this.carried.get(pointer.split("/")[1]);
    if (other !== undefined) return other.nameOf(pointer);
    if (this.origins.has(pointer)) return this.origins.get(pointer);
    // A part of what stands in another place here than in the request.
    const whole = [...this.origins.keys()].find((start) => pointer.startsWith(`${start}/`) && this.origins.get(start).startsWith(`${this.calculation}/`));
    return whole === undefined ? `${this.calculation}${pointer}` : `${this.origins.get(whole)}${pointer.slice(whole.length)}`;
  }
}

// Numbers are sent as numbers, so that the request reads well; what is no number is sent as typed, and refused in words.
function typed(entry) {
  const text = value(entry);
  if (entry.dataset.form === "gears") return gearsOf(text);
  const bare = entry.dataset.kind ? lists.kinds[entry.dataset.kind].bare : entry.dataset.form !== "text" && entry.dataset.form !== "date";
  return bare && NUMBER.test(text) ? Number(text) : text;
}

export function matchQuestion() {
  const question = new Question("match");
  question.takeAll();
  putUnshown(question);
  // One end of a range alone leaves a gap before it.
  for (const pair of ["speed_range", "depth_range"]) {
    const ends = question.body.implement?.[pair];
    if (ends !== undefined) question.body.implement[pair] = [...ends].map((end) => end ?? "");
  }
  // In the order a person would tell it.
  const { tractor, implement, soil, field, ...rest } = question.body;
  const told = Object.entries({ tractor, implement, soil, field }).filter(([, part]) => part !== undefined);
  question.body = { ...Object.fromEntries(told), ...rest };
  question.body.find = ["speed", "width", "depth"];
  question.body.odds = { samples: SAMPLES };
  return question;
}

// What a farm file says of a machine and no control shows; of a ground tool that was taken off it says nothing more.
function putUnshown(question) {
  for (const [name, text] of Object.entries(unshown())) {
    const pointer = name.slice("match".length);
    const tool = /^\/implement\/tools\/(\d+)\//.exec(pointer);
    if (tool === null || question.body.implement?.tools?.[tool[1]] !== undefined) question.put(pointer, typedLeaf(pointer, text), name);
  }
}

// How fast the land is worked, of which the odds know the range; without odds, the plain figure.
function pace(match) {
  return match.odds?.capacity ?? { ...match.capacity.effective, low: null };
}

function text(number, unit) {
  return `${rounded(number, 4)} ${unit}`;
}

export function completionQuestion(match) {
  const question = new Question("completion");
  question.takeAll();
  question.take("match/field/workday", "/workday");
  const { value: middle, low, high, unit } = pace(match);
  question.put("/capacity", text(middle, unit));
  if (low !== null && rounded(low, 4) !== rounded(high, 4)) {
    question.put("/capacity_low", text(low, unit));
    question.put("/capacity_high", text(high, unit));
  }
  putDays(question, "/suitable");
  return question;
}

// The window with its days, and prices, as a season or a chain of passes takes them.
export function windowQuestion(question) {
  for (const [name, part] of [["completion/start", "start"], ["completion/end", "end"], ["match/field/workday", "workday"], ["page/freeze_up", "freeze_up"]]) {
    question.take(name, `/window/${part}`);
  }
  question.take("completion/suitable/mean", "/window/suitable/mean");
  putDays(question, "/window/suitable");
  return question;
}

// The days fit for work: a record of weeks, or the spread beside their mean.
function putDays(question, pointer) {
  const record = control("page/record");
  question.origins.set("/record", record.name);
  if (counts(record)) question.put("/record", recordOf(value(record)), record.name);
  const bad = control("page/bad_year");
  question.origins.set(`${pointer}/spread`, bad.name);
  if (counts(bad)) {
    const spread = Number(value(control("completion/suitable/mean"))) - Number(value(bad));
    question.put(`${pointer}/spread`, Number.isFinite(spread) ? Number(rounded(spread, 4)) : value(bad), bad.name);
  }
}

// Points count once their price and life are there, the fitted ones first; they have names whether somebody gave one or not.
function completePoints(tool) {
  const [place] = tool.wearing ?? [];
  const whole = (place?.options ?? []).map((option, at) => ({ name: POINTS[at], ...option })).filter(({ price, life }) => price !== undefined && life !== undefined);
  delete tool.wearing;
  if (place?.options?.[0]?.price === undefined || place.options[0].life === undefined) return;
  const count = place.count ?? Number(value(control("match/implement/tools/0/count")));
  tool.wearing = [{ name: "points", count, options: whole }];
}

export function costQuestion(match) {
  const question = new Question("cost");
  question.put("/machines", [{ name: "tractor" }, { name: "tool" }]);
  question.takeAll();
  question.take("cost/machines/0/years", "/machines/1/years");
  completePoints(question.body.machines[1]);
  const { value: middle, unit } = pace(match);
  question.put("/work/capacity", text(middle, unit));
  const { value: rate, unit: rateUnit } = match.fuel.mean_rate;
  question.put("/work/fuel/rate", text(rate, rateUnit));
  if (question.body.work.fuel.price === undefined) delete question.body.work.fuel;
  return question;
}
