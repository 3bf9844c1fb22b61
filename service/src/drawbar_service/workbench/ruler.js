// Rulers: where the job holds over speed, depth or width, fading by odds, and what moves with it. Whole curves are fetched
// once; the thumb then only reads from them, so that it never waits.

import { showPassing } from "./answer.js";
import { ask, Trouble } from "./ask.js";
import { byId, fill, make } from "./dom.js";
import { capital, widened } from "./grid.js";
import { SHORT } from "./limits.js";
import { called, inShownUnit, lists, manyOf, rounded, system, unitOf } from "./units.js";

const MOVES = { area: "/capacity/effective", fuel: "/fuel/per_area", slip: "/at_work/slip" };
// Words of a ruler that would touch, as shares of its width, stand one above the other.
const ROOM = 0.24;
const MAIN = "/implement/tools/0";

// ---- what each ruler is of

// One scale of speed for all machines keeps it calm.
const SPEEDS = {
  metric: { unit: "km/h", first: 2, last: 14, step: 0.1, numbers: [2, 5, 8, 11, 14] },
  us: { unit: "mph", first: 1, last: 9, step: 0.05, numbers: [1, 3, 5, 7, 9] },
};
const STEPS = { depth: { metric: 0.5, us: 0.25 }, width: { metric: 0.1, us: 0.5 } };

export function scale() {
  return SPEEDS[system];
}

function steps({ first, last, step }) {
  return Array.from({ length: Math.round((last - first) / step) + 1 }, (_, index) => first + index * step);
}

// From two fifths to eight fifths of what is set, in whole steps, with up to five numbers.
function around(now, step) {
  const whole = (part) => Math.max(1, Math.round((part * now) / step));
  const [first, last] = [whole(0.4) * step, Math.max(whole(1.6), whole(0.4) + 4) * step];
  const apart = round((last - first) / 5, step);
  const numbers = [];
  for (let at = Math.ceil(first / apart) * apart; at <= last + 1e-9; at += apart) numbers.push(Number(rounded(at)));
  return { first, last, step, numbers };
}

// The next of 1, 2, 5, 10, ... that is no finer than a step.
function round(least, step) {
  const tens = 10 ** Math.floor(Math.log10(Math.max(least, step)));
  return [1, 2, 5, 10].map((part) => part * tens).find((part) => part >= Math.max(least, step) - 1e-9);
}

function inNumber(text, kind) {
  return Number.parseFloat(inShownUnit(text ?? "", kind));
}

const AXES = {
  speed: {
    limit: "tool-speed",
    now: (_, answer) => answer.at_work.speed.value,
    scale,
    vary: (_, values, { unit, first, last }) => ({ "/speed": { unit, first, last, count: values.length } }),
    without: ({ speed, ...rest }) => rest,
    words: (value, { unit }) => `${rounded(value)} ${unit}`,
    says: (words) => `at ${words}`,
  },
  depth: {
    limit: "tool-depth",
    name: () => "Depth",
    now: ({ implement }) => inNumber(implement?.tools?.[0]?.depth, "Depth"),
    scale: (_, now) => ({ ...around(now, STEPS.depth[system]), unit: unitOf("Depth") }),
    vary: (_, values, { unit }) => ({ [`${MAIN}/depth`]: { unit, values } }),
    without: (body) => withTools(body, (tools) => tools.map((tool, place) => (place === 0 ? { ...tool, depth: undefined } : tool))),
    words: (value, { unit }) => `${rounded(value)} ${unit}`,
    says: (words) => `at ${words} deep`,
  },
  width: {
    limit: null,
    name: ({ implement }) => (byCount(implement.tools[0]) ? capital(manyOf(implement.tools[0].tool, 2)) : "Width"),
    now({ implement }) {
      const main = implement?.tools?.[0];
      return byCount(main) ? Number(main.count) : inNumber(main?.width, "Width");
    },
    scale({ implement }, now) {
      const main = implement.tools[0];
      // Shanks and rows come whole.
      return byCount(main) ? { ...around(now, 1), unit: "", tool: main.tool } : { ...around(now, STEPS.width[system]), unit: unitOf("Width") };
    },
    vary: ({ implement }, values) => widened(implement.tools, values),
    without: (body) => withTools(body, (tools) => tools.map(({ count, width, ...tool }) => tool)),
    words: (value, { unit, tool }) => (unit ? `${rounded(value)} ${unit}` : `${value} ${manyOf(tool, value)}`),
    says: (words) => `with ${words}`,
  },
};

function byCount(main) {
  return main !== undefined && lists.tools[main.tool]?.by !== "m";
}

function withTools(body, change) {
  if (!body.implement?.tools) return body;
  return { ...body, implement: { ...body.implement, tools: change(body.implement.tools) } };
}

// ---- a ruler

class Ruler {
  constructor(name) {
    this.name = name;
    this.axis = AXES[name];
    this.curve = null;
    this.fetched = "";
    this.box = byId(name === "speed" ? "ruler" : `ruler-of-${name}`);
    this.slider = byId(`ruler-${name}`);
  }

  part(what) {
    return this.box.querySelector(`.${what}`);
  }

  keyOf({ find, odds, ...body }) {
    return JSON.stringify([system, this.axis.without(body)]);
  }

  // Draw it for the match that was asked and answered.
  async show({ body }, answer) {
    const now = this.axis.now(body, answer);
    const known = Number.isFinite(now) && now > 0;
    if (this.name !== "speed") this.box.hidden = !known;
    if (!known) return;
    const { find, odds, ...rest } = body;
    const scenario = this.name === "speed" ? this.axis.without(rest) : { ...rest, speed: rest.speed ?? `${answer.at_work.speed.value} ${answer.at_work.speed.unit}` };
    const key = this.keyOf(scenario);
    const beyond = this.curve === null || now < this.curve.scale.first - 1e-9 || now > this.curve.scale.last + 1e-9;
    if (key !== this.fetched || (beyond && this.name !== "speed")) {
      const found = await this.fetchCurve(scenario, now, answer.limits.map(({ name }) => name));
      if (found === null) return;
      this.curve = found;
      this.fetched = key;
      this.draw();
    }
    this.box.classList.remove("unknown");
    if (this.name !== "speed") {
      this.part("ruler-name").textContent = this.axis.name(body);
      this.slider.setAttribute("aria-label", this.axis.name(body));
    }
    this.slider.value = now;
    this.speak(this.nearest(now), now);
  }

  // What is set now, in words; empty where there is nothing to set.
  setting(body) {
    const now = this.axis.now(body);
    return Number.isFinite(now) && now > 0 ? this.axis.words(now, this.axis.scale(body, now)) : "";
  }

  async fetchCurve(scenario, now, limits) {
    const scale = this.axis.scale(scenario, now);
    const values = steps(scale);
    const margins = limits.map((_, place) => `/limits/${place}/margin`);
    const body = {
      scenario,
      vary: this.axis.vary(scenario, values, scale),
      columns: ["/verdict/word", "/verdict/chance", ...Object.values(MOVES), ...margins],
    };
    try {
      const answer = await ask(`ruler-${this.name}`, "v1/batch/match", body);
      return answer === null ? null : { scale, values, vary: body.vary, columns: answer.columns, limits };
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      this.box.classList.add("unknown");
      return null;
    }
  }

  column(pointer) {
    return this.curve.columns[pointer].values;
  }

  share(value) {
    const { first, last } = this.curve.scale;
    return Math.min(Math.max((value - first) / (last - first), 0), 1);
  }

  // ---- what stands still

  draw() {
    const { first, last, step, numbers } = this.curve.scale;
    Object.assign(this.slider, { min: first, max: last, step });
    this.paint();
    const range = this.range();
    const stops = this.crossings().filter(({ name }) => range === null || !name.startsWith("tool ")).sort((a, b) => a.at - b.at);
    const over = stops.map(({ at, name }) => this.mark(at, name, "tick"));
    // Two that are close read away from each other; a third would be too much and goes up a row.
    const near = (index) => index > 0 && this.share(stops[index].at) - this.share(stops[index - 1].at) < ROOM;
    stops.forEach((_, index) => {
      if (!near(index)) return;
      const before = over[index - 1].classList;
      if (!near(index - 1) && this.share(stops[index - 1].at) > 0.2) before.add("from-right");
      else if (!before.contains("high")) over[index].classList.add("high");
    });
    fill(this.part("over"), ...over);
    this.part("over").classList.toggle("tall", over.some((one) => one.classList.contains("high")));
    fill(this.part("under"), ...numbers.map((number) => this.mark(number, String(number), "number")), ...(range === null ? [] : this.bracket(range)));
  }

  bracket([from, to]) {
    const line = this.mark(from, "", "range");
    line.style.width = `${(100 * (this.share(to) - this.share(from))).toFixed(2)}%`;
    return [line, this.mark((from + to) / 2, "the tool\u2019s range", "range-words")];
  }

  mark(value, words, class_) {
    const element = make("span", { class: class_ }, words);
    element.style.left = `${(100 * this.share(value)).toFixed(2)}%`;
    if (this.share(value) > 0.85) element.classList.add("from-right");
    if (this.share(value) < 0.1) element.classList.add("from-left");
    return element;
  }

  // Where a limit is met: between the last step that keeps it and the first that does not, or the other way.
  crossings() {
    const { limits, values } = this.curve;
    const found = [];
    limits.forEach((name, place) => {
      const left = this.column(`/limits/${place}/margin`);
      for (let index = 1; index < left.length; index += 1) {
        const [before, after] = [left[index - 1], left[index]];
        if (before === null || after === null || before >= 0 === after >= 0) continue;
        const part = before / (before - after);
        const at = values[index - 1] + part * (values[index] - values[index - 1]);
        const words = name === this.axis.limit ? (after >= 0 ? "tool from" : "tool to") : SHORT[name];
        found.push({ at, name: words });
      }
    });
    return found;
  }

  // The tool's range of sound work, where it has one and the ruler shows both ends.
  range() {
    if (this.curve === null) return null;
    const ends = this.crossings().filter(({ name }) => name.startsWith("tool "));
    return ends.length === 2 ? ends.map(({ at }) => at) : null;
  }

  paint() {
    if (this.curve === null) return;
    const chances = this.column("/verdict/chance");
    const canvas = this.part("odds").querySelector("canvas");
    canvas.width = chances.length;
    const pen = canvas.getContext("2d");
    pen.fillStyle = getComputedStyle(document.body).getPropertyValue("--mark");
    chances.forEach((chance, index) => {
      pen.globalAlpha = (chance ?? 0) / 100;
      pen.fillRect(index, 0, 1, 1);
    });
  }

  // ---- what moves

  nearest(value) {
    const { first, step } = this.curve.scale;
    return Math.min(Math.max(Math.round((value - first) / step), 0), this.curve.values.length - 1);
  }

  speak(index, value) {
    const chance = this.column("/verdict/chance")[index];
    const odds = chance === null ? "chance not known" : `holds ${Math.floor(chance + 1e-3)} times in 100`;
    const words = this.axis.words(value, this.curve.scale);
    this.slider.setAttribute("aria-valuetext", `${words}, ${odds}`);
    const shown = this.part("ruler-value");
    if (shown !== null) shown.textContent = this.curve.scale.unit ? words : String(value);
  }

  // The thumb is elsewhere: everything that depends on it, from the curve.
  pass() {
    const value = Number(this.slider.value);
    const index = this.nearest(value);
    const chance = this.column("/verdict/chance")[index];
    const words = this.axis.words(value, this.curve.scale);
    showPassing(this.column("/verdict/word")[index], this.axis.says(words), chance === null ? null : { value: chance });
    this.speak(index, value);
    for (const [name, pointer] of Object.entries(MOVES)) {
      const figure = document.querySelector(`#figures [data-live="${name}"]`);
      if (figure === null) continue;
      const number = this.column(pointer)[index];
      figure.classList.add("passing");
      figure.querySelector("b").textContent = number === null ? "\u2013" : `${rounded(number)} ${called(this.curve.columns[pointer].unit)}`;
    }
    return this.set(value, index);
  }

  // What the request holds there: each pointer with its text.
  set(value, index) {
    if (this.name === "speed") return { "/speed": rounded(value) };
    return Object.fromEntries(
      Object.entries(this.curve.vary).map(([pointer, column]) => (Array.isArray(column) ? [pointer, String(column[index])] : [pointer, `${rounded(column.values[index], 4)} ${column.unit}`])),
    );
  }
}

// ---- the three

let rulers = null;
let asked = null;

function all() {
  rulers ??= Object.fromEntries(Object.keys(AXES).map((name) => [name, new Ruler(name)]));
  return rulers;
}

export function toolRange() {
  return all().speed.range();
}

// Draw the ruler of speed, and the others where they are open.
export async function showRulers(question, answer) {
  const { speed, depth, width } = all();
  asked = [question, answer];
  byId("more-set").textContent = [depth, width].map((ruler) => ruler.setting(question.body)).filter((words) => words).join(" \u00b7 ") || "no ground tools";
  const open = byId("more-rulers").open ? [depth, width] : [];
  await Promise.all([speed, ...open].map((ruler) => ruler.show(question, answer)));
}

// Whether what stands on the page is read from the curve of this very job.
export function passed({ body }) {
  if (document.querySelector("#figures .passing") === null) return false;
  return Object.values(all()).some((ruler) => ruler.curve !== null && ruler.fetched === ruler.keyOf(body));
}

// `moving` hears what the thumb passes, `settled` that it has come to rest.
export function watchRulers(moving, settled) {
  for (const ruler of Object.values(all())) {
    ruler.slider.addEventListener("input", () => {
      if (ruler.curve !== null) moving(ruler.pass());
    });
    ruler.slider.addEventListener("change", () => settled());
  }
  byId("more-rulers").addEventListener("toggle", () => {
    if (byId("more-rulers").open && asked !== null) showRulers(...asked);
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    for (const ruler of Object.values(all())) ruler.paint();
  });
}
