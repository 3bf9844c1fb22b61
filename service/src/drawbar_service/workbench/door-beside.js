// This tractor, or the next size? One tool behind two tractors, on one page to print and hand over.

import { ask } from "./ask.js";
import { able } from "./answer.js";
import { dayInWords } from "./calendar.js";
import { does, headline, list, machineOf } from "./door-parts.js";
import { make } from "./dom.js";
import * as form from "./form.js";
import { nested } from "./leaves.js";
import { valuesOf } from "./machines.js";
import { completionQuestion, costQuestion, Question } from "./request.js";
import { called, notAbove, range, rounded, words } from "./units.js";
import { inCases, inHundred, LIMITS, VERDICTS } from "./words.js";

export const calculation = "beside";

// On the page both stand with the answer above; on paper they are needed here.
const ESTIMATE = "An estimate, not a rating, after ASAE D497 with values from memory, not yet proof-read. Small figures are the range: 9 in 10 are meant to lie inside.";

export function questions(job) {
  const name = form.control("page/beside").value;
  if (!name) return "Choose the tractor to stand beside it.";
  if (name === form.choice("tractor")) return "That is the tractor above: choose another one to stand beside it.";
  const { speed, ...body } = job.match.body;
  const asked = form.control("page/beside_at").value === "same" && speed !== undefined ? { ...body, speed } : body;
  return [machineOf("tractor", name, job), body.tractor].map((tractor) => {
    const question = new Question("match");
    question.body = { ...asked, tractor };
    return question;
  });
}

export async function shown(job, questions, [other, mine], door) {
  const name = form.control("page/beside").value;
  const titles = [form.described("tractor", form.choice("tractor")), form.described("tractor", name)];
  const tool = form.described("implement", form.choice("implement"));
  const field = form.described("field", form.choice("field"));
  const sides = [await side(mine, null), await side(other, name)];
  const end = 1.15 * Math.max(...sides.map(({ match }) => match.greatest.speed?.value?.value ?? match.at_work.speed.value));
  const whom = form.control("page/for").value.trim();
  return [
    headline(headOf(sides, titles)),
    make("p", { class: "what" }, make("b", {}, `${tool.title} behind ${titles[0].title} or ${titles[1].title}. `), `${tool.what}, on ${field.title}: ${field.what}.`),
    whom ? make("p", { class: "whom" }, "Prepared for ", make("b", {}, whom), `, ${dayInWords(today())}.`) : null,
    make("div", { class: "sides" }, ...sides.map((one, place) => column(one, titles[place], end))),
    list(apart(sides, titles)),
    make("p", { class: "does" }, does("Print this page", () => print_(door))),
    make("div", { class: "paper" }, make("p", {}, ESTIMATE), list(job.answer.about.cautions, "cautions")),
  ].filter((one) => one !== null);
}

function today() {
  const day = new Date();
  return [day.getFullYear(), String(day.getMonth() + 1).padStart(2, "0"), String(day.getDate()).padStart(2, "0")].join("-");
}

// What follows from a match for one of the two: whether it is done in time, and what it costs.
async function side(match, name) {
  if (!able(match)) return { match, completion: null, cost: null };
  const completion = completionQuestion(match);
  const cost = costQuestion(match);
  if (name !== null) {
    const { machines: [owned] = [{}] } = nested(valuesOf("tractor", name), "cost/");
    const { name: as, years, annual_use: use } = cost.body.machines[0];
    cost.body.machines[0] = { ...owned, name: as, years, annual_use: use };
  }
  const whose = name ?? "here";
  const followed = await Promise.all([
    ask(`beside-completion-${whose}`, completion.path, completion.body).catch(unknown),
    ask(`beside-cost-${whose}`, cost.path, cost.body).catch(unknown),
  ]);
  return { match, completion: followed[0], cost: followed[1] };
}

// A window or prices that are not all entered: the page says so above, and here nothing is said of it.
function unknown(error) {
  if (error.kind !== "faults") throw error;
  return null;
}

function headOf([here, there], [one, other]) {
  const [a, b] = [here, there].map(({ match }) => match.verdict.word);
  if (a === b) return a === "holds" ? "Both hold it." : `Both: ${VERDICTS[a].toLowerCase()}.`;
  return `${one.title}: ${VERDICTS[a].toLowerCase()}. ${other.title}: ${VERDICTS[b].toLowerCase()}.`;
}

function column({ match, completion, cost }, title, end) {
  const { verdict, at_work: work, capacity, fuel, greatest } = match;
  const works = able(match);
  const area = called(capacity.effective.unit).split("/")[0];
  const rows = [
    ["Every limit kept", verdict.chance === null ? "not known" : `in ${inCases(verdict.chance)}`],
    ["Nearest limit", LIMITS[verdict.binding]],
    ["Holds up to", greatest.speed?.holds == null ? "no speed" : notAbove(greatest.speed.holds)],
    ["Slip", work.slip === null ? "–" : both(work.slip)],
    ["Power used", work.load_fraction === null ? "–" : both(work.load_fraction)],
    ["Area an hour", works ? both(capacity.effective) : "–"],
    ["Fuel by area", works ? both(fuel.per_area) : "–"],
    completion === null ? null : [`Done by ${dayInWords(completion.curve.at(-1).date)}`, inHundred(completion.chance)],
    cost === null ? null : ["Cost, all counted", `${rounded(cost.total.per_area.value)} per ${area}`],
  ].filter((one) => one !== null);
  return make(
    "section",
    { class: `side ${verdict.word}` },
    make("h4", {}, title.title, make("span", { class: "note" }, ` ${title.what}`)),
    make("p", { class: "side-verdict" }, `${VERDICTS[verdict.word]} at ${works ? notAbove(work.speed) : words(work.speed)}`),
    track(match, end),
    make("dl", { class: "rows" }, ...rows.map(([name, text]) => make("div", {}, make("dt", {}, name), make("dd", {}, ...[text].flat())))),
  );
}

function both(quantity) {
  return [words(quantity), range(quantity) ? make("span", { class: "note" }, range(quantity)) : ""];
}

// How fast it holds, on one scale for both.
function track({ greatest }, end) {
  const bar = make("span", { class: "side-track", "aria-hidden": "true" });
  const part = (class_, value) => {
    const piece = make("span", { class: class_ });
    piece.style.left = "0";
    piece.style.width = `${(100 * value) / end}%`;
    bar.append(piece);
  };
  if (greatest.speed?.value != null) part("goes", greatest.speed.value.value);
  if (greatest.speed?.holds != null) part("sure", greatest.speed.holds.value);
  return bar;
}

// What the other one does more or less, in round numbers.
function apart([here, there], [, { title }]) {
  if (!able(here.match) || !able(there.match)) return [];
  const more = (what, of) => {
    const [a, b] = [here, there].map((one) => of(one));
    if (a === null || b === null || Math.abs(b / a - 1) < 0.02) return null;
    return `${title} takes ${rounded(Math.abs(100 * (b / a - 1)), 2)} % ${b > a ? "more" : "less"} ${what} on the same area`;
  };
  return [
    more("time", ({ match }) => 1 / match.capacity.effective.value),
    more("fuel", ({ match }) => match.fuel.per_area.value),
    more("money, all counted,", ({ cost }) => cost?.total.per_area.value ?? null),
  ].filter((one) => one !== null);
}

function print_(door) {
  const bare = () => document.body.classList.remove("one-door");
  addEventListener("afterprint", bare, { once: true });
  document.body.classList.add("one-door");
  door.classList.add("on-paper");
  print();
}
