// What several doors show: a headline, a chart of lines, a place to drop a file, machines of the farm.

import { drawn, fill, make } from "./dom.js";
import { choice, control, described, settled } from "./form.js";
import { bodyOf, choiceOf, exampleNames, ownNames } from "./machines.js";
import { rounded } from "./units.js";

const NOW = "now";
const EDGE = { right: 8, top: 26, bottom: 44 };
const LETTER = 7.5;

export function headline(words, state = "") {
  return make("h3", { class: `verdict ${state}`.trim() }, words);
}

export function list(items, class_ = "") {
  return items.length === 0 ? null : make("ul", class_ ? { class: class_ } : {}, ...items.map((item) => make("li", {}, ...[item].flat())));
}

// Lines over a common x, each with its name at its end. `marks` are uprights with a word; lines are told apart by dashes.
export function chart(place, { lines, marks = [], name, xName, yName }) {
  const width = Math.max(280, Math.min(place.clientWidth || 640, 680));
  const height = 300;
  const points = lines.flatMap((line) => line.points);
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const [first, last, top] = [Math.min(...xs), Math.max(...xs), Math.max(...ys) * 1.12];
  const numbers = steps(0, top).slice(1);
  const left = 8 + LETTER * Math.max(...numbers.map((value) => rounded(value).length));
  const x = (value) => left + ((value - first) / (last - first || 1)) * (width - left - EDGE.right);
  const y = (value) => height - EDGE.bottom - (value / (top || 1)) * (height - EDGE.top - EDGE.bottom);
  const svg = drawn("svg", { viewBox: `0 0 ${width} ${height}`, class: "chart", role: "img", "aria-label": name });
  svg.append(drawn("path", { d: `M${left} ${y(0)}H${width - EDGE.right}`, class: "axis" }));
  const write = (words, at, up, class_, anchor) => {
    const text = drawn("text", { x: at, y: up, class: class_, "text-anchor": anchor });
    text.textContent = words;
    svg.append(text);
  };
  const whole = (words, at) => Math.min(Math.max(at, (words.length * LETTER) / 2), width - (words.length * LETTER) / 2);
  for (const value of steps(first, last)) {
    const words = rounded(value);
    svg.append(drawn("path", { d: `M${x(value)} ${y(0)}v6`, class: "axis" }));
    write(words, whole(words, x(value)), y(0) + 20, "number", "middle");
  }
  for (const value of numbers) {
    svg.append(drawn("path", { d: `M${left} ${y(value)}H${width - EDGE.right}`, class: "grid" }));
    write(rounded(value), left - 6, y(value) + 4, "number", "end");
  }
  write(xName, width / 2, height - 4, "number", "middle");
  write(yName, 0, 12, "number", "start");
  for (const { at, words } of marks) {
    svg.append(drawn("path", { d: `M${x(at)} ${y(0)}V${EDGE.top}`, class: "mark" }));
    write(words, whole(words, x(at)), EDGE.top + 12, "word", "middle");
  }
  const taken = [];
  for (const { points: path, words, class_ } of lines) {
    svg.append(drawn("path", { d: path.map(([px, py], index) => `${index ? "L" : "M"}${x(px).toFixed(1)} ${y(py).toFixed(1)}`).join(""), class: `line ${class_}` }));
    const [, end] = path.at(-1);
    let up = y(end) - 8;
    while (taken.some((other) => Math.abs(other - up) < 18)) up += up > height / 2 ? -18 : 18;
    taken.push(up);
    write(words, width - EDGE.right, up, `word ${class_}`, "end");
  }
  return svg;
}

function steps(first, last) {
  const rough = (last - first) / 4 || 1;
  const ten = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((one) => one * ten).find((one) => one >= rough);
  const from = Math.ceil(first / step) * step;
  return Array.from({ length: Math.floor((last - from) / step + 1e-9) + 1 }, (_, index) => from + index * step);
}

// A file may be dropped on it or chosen; `read` takes its text and name and returns words, or throws with words.
export function dropPlace(words, accept, read) {
  const input = make("input", { type: "file", accept, class: "unseen" });
  const said = make("p", { class: "drop-said", role: "status" });
  const place = make("div", { class: "drop" }, make("label", {}, input, make("span", {}, words)), said);
  const take = async (file) => {
    if (file === undefined) return;
    said.classList.remove("wrong");
    fill(said);
    try {
      fill(said, await read(await file.text(), file.name));
    } catch (error) {
      if (!(error instanceof BadFile)) throw error;
      said.classList.add("wrong");
      fill(said, `${file.name} was not taken.`, list(error.faults.slice(0, 6)), error.faults.length > 6 ? ` And ${error.faults.length - 6} more like these.` : "");
    }
    input.value = "";
  };
  input.addEventListener("change", () => take(input.files[0]));
  place.addEventListener("dragover", (event) => {
    event.preventDefault();
    place.classList.add("over");
  });
  place.addEventListener("dragleave", () => place.classList.remove("over"));
  place.addEventListener("drop", (event) => {
    event.preventDefault();
    place.classList.remove("over");
    take(event.dataTransfer.files[0]);
  });
  return place;
}

// A file that cannot be used, with what is wrong in it, line by line.
export class BadFile extends Error {
  constructor(faults) {
    super(faults[0]);
    this.faults = faults;
  }
}

// A machine or field that can be chosen, as a request holds it, or the one that is set above.
export function machineOf(kind, name, job) {
  const { soil: now, field: here, ...set } = job.match.body;
  if (name === NOW || name === choice(kind)) return kind === "field" ? { soil: now, field: here } : set[kind];
  const body = bodyOf(kind, name);
  if (kind !== "field") return body;
  const { soil, ...field } = body;
  return { soil, field };
}

// Those that can be chosen, and the one that is set above where it is none of them.
export function everyOne(kind) {
  const names = [...ownNames(kind).map(choiceOf), ...exampleNames(kind)];
  return names.includes(choice(kind)) ? names : [NOW, ...names];
}

export function called(kind, name) {
  return described(kind, name === NOW ? choice(kind) : name).title;
}

// A button that does something with an answer.
export function does(words, act) {
  const button = make("button", { type: "button" }, words);
  button.addEventListener("click", () => act(button));
  return button;
}

// Enter something in a control of the page, as a person would.
export function enter(name, text) {
  const entry = control(name);
  entry.value = text;
  entry.dispatchEvent(new Event("input", { bubbles: true }));
  settled(entry);
}
