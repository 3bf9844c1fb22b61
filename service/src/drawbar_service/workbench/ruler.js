// The speed ruler: where the job holds, fading by odds, and what moves with the speed. Whole curves are fetched once; the
// thumb then only reads from them, so that it never waits.

import { showPassing } from "./answer.js";
import { ask, Trouble } from "./ask.js";
import { byId, fill, make } from "./dom.js";
import { SHORT } from "./limits.js";
import { called, rounded, system } from "./units.js";

// From, to and the step of the ruler, in the unit of speed that is shown. One scale for all machines keeps it calm.
const SCALES = {
  metric: { unit: "km/h", first: 2, last: 14, step: 0.1, numbers: [2, 5, 8, 11, 14] },
  us: { unit: "mph", first: 1, last: 9, step: 0.05, numbers: [1, 3, 5, 7, 9] },
};
const MOVES = { area: "/capacity/effective", fuel: "/fuel/per_area", slip: "/at_work/slip" };
// Words of the ruler that would touch, as shares of its width, stand one above the other.
const ROOM = 0.24;

let curve = null;
let fetched = "";

export function scale() {
  return SCALES[system];
}

// Draw the ruler for the match that was asked and answered.
export async function showRuler(question, answer) {
  const { find, odds, speed, ...scenario } = question.body;
  const key = JSON.stringify([system, scenario]);
  if (key !== fetched) {
    const limits = answer.limits.map(({ name }) => name);
    const found = await fetchCurve(scenario, limits);
    if (found === null) return;
    curve = found;
    fetched = key;
    draw();
  }
  byId("ruler").classList.remove("unknown");
  place(answer.at_work.speed.value);
}

// Whether what stands on the page is read from the curve of this very job.
export function passed(question) {
  const { find, odds, speed, ...scenario } = question.body;
  return speed !== undefined && JSON.stringify([system, scenario]) === fetched && document.querySelector(".answer [data-live].passing") !== null;
}

async function fetchCurve(scenario, limits) {
  const { unit, first, last, step } = scale();
  const count = Math.round((last - first) / step) + 1;
  const margins = limits.map((_, place) => `/limits/${place}/margin`);
  const body = {
    scenario,
    vary: { "/speed": { unit, first, last, count } },
    columns: ["/verdict/word", "/verdict/chance", ...Object.values(MOVES), ...margins],
  };
  try {
    const answer = await ask("ruler", "v1/batch/match", body);
    if (answer === null) return null;
    const speeds = Array.from({ length: count }, (_, index) => first + index * step);
    return { speeds, columns: answer.columns, limits };
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    byId("ruler").classList.add("unknown");
    return null;
  }
}

function values(pointer) {
  return curve.columns[pointer].values;
}

function share(speed) {
  const { first, last } = scale();
  return Math.min(Math.max((speed - first) / (last - first), 0), 1);
}

// ---- what stands still

function draw() {
  const { first, last, step, numbers } = scale();
  const slider = byId("ruler-speed");
  Object.assign(slider, { min: first, max: last, step });
  paint();
  const range = toolRange();
  const stops = crossings().filter(({ name }) => range === null || !name.startsWith("tool ")).sort((a, b) => a.at - b.at);
  const over = stops.map(({ at, name }) => mark(at, name, "tick"));
  // Two that are close read away from each other; a third would be too much and goes up a row.
  const near = (index) => index > 0 && share(stops[index].at) - share(stops[index - 1].at) < ROOM;
  stops.forEach((_, index) => {
    if (!near(index)) return;
    const before = over[index - 1].classList;
    if (!near(index - 1) && share(stops[index - 1].at) > 0.2) before.add("from-right");
    else if (!before.contains("high")) over[index].classList.add("high");
  });
  const rows = over.filter((one) => one.classList.contains("high")).length;
  fill(byId("ruler-over"), ...over);
  byId("ruler-over").classList.toggle("tall", rows > 0);
  fill(byId("ruler-under"), ...numbers.map((number) => mark(number, String(number), "number")), ...(range === null ? [] : bracket(range)));
}

function bracket([from, to]) {
  const line = mark(from, "", "range");
  line.style.width = `${(100 * (share(to) - share(from))).toFixed(2)}%`;
  return [line, mark((from + to) / 2, "the tool\u2019s range", "range-words")];
}

function mark(speed, words, class_) {
  const element = make("span", { class: class_ }, words);
  element.style.left = `${(100 * share(speed)).toFixed(2)}%`;
  if (share(speed) > 0.85) element.classList.add("from-right");
  if (share(speed) < 0.1) element.classList.add("from-left");
  return element;
}

// Where a limit is met: the speed between the last step that keeps it and the first that does not, or the other way.
function crossings() {
  const found = [];
  curve.limits.forEach((name, place) => {
    const left = values(`/limits/${place}/margin`);
    for (let index = 1; index < left.length; index += 1) {
      const [before, after] = [left[index - 1], left[index]];
      if (before === null || after === null || before >= 0 === after >= 0) continue;
      const part = before / (before - after);
      const at = curve.speeds[index - 1] + part * (curve.speeds[index] - curve.speeds[index - 1]);
      const words = name === "tool-speed" ? (after >= 0 ? "tool from" : "tool to") : SHORT[name];
      found.push({ at, name: words });
    }
  });
  return found;
}

// The tool's range of sound speeds, where it has one and the ruler shows both ends.
export function toolRange() {
  if (curve === null) return null;
  const ends = crossings().filter(({ name }) => name.startsWith("tool "));
  return ends.length === 2 ? ends.map(({ at }) => at) : null;
}

function paint() {
  const canvas = byId("ruler-odds");
  const chances = values("/verdict/chance");
  canvas.width = chances.length;
  const pen = canvas.getContext("2d");
  pen.fillStyle = getComputedStyle(document.body).getPropertyValue("--mark");
  chances.forEach((chance, index) => {
    pen.globalAlpha = (chance ?? 0) / 100;
    pen.fillRect(index, 0, 1, 1);
  });
}

// ---- what moves

function place(speed) {
  const slider = byId("ruler-speed");
  slider.value = speed;
  speak(nearest(speed), speed);
}

function nearest(speed) {
  const { first, step } = scale();
  return Math.min(Math.max(Math.round((speed - first) / step), 0), curve.speeds.length - 1);
}

function speak(index, speed) {
  const chance = values("/verdict/chance")[index];
  const odds = chance === null ? "chance not known" : `holds ${Math.floor(chance + 1e-3)} times in 100`;
  byId("ruler-speed").setAttribute("aria-valuetext", `${rounded(speed)} ${scale().unit}, ${odds}`);
}

// The thumb is at another speed: everything that depends on it, from the curve.
function pass() {
  const speed = Number(byId("ruler-speed").value);
  const index = nearest(speed);
  const chance = values("/verdict/chance")[index];
  const shown = `${rounded(speed)} ${scale().unit}`;
  showPassing(values("/verdict/word")[index], shown, chance === null ? null : { value: chance });
  speak(index, speed);
  for (const [name, pointer] of Object.entries(MOVES)) {
    const figure = document.querySelector(`#figures [data-live="${name}"]`);
    if (figure === null) continue;
    const number = values(pointer)[index];
    figure.classList.add("passing");
    figure.querySelector("b").textContent = number === null ? "\u2013" : `${rounded(number)} ${called(curve.columns[pointer].unit)}`;
  }
  return speed;
}

// `moving` hears every speed the thumb passes, `settled` that it has come to rest.
export function watchRuler(moving, settled) {
  const slider = byId("ruler-speed");
  slider.addEventListener("input", () => {
    if (curve !== null) moving(rounded(pass()));
  });
  slider.addEventListener("change", () => settled());
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    if (curve !== null) paint();
  });
}
