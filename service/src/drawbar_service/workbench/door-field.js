// How do I drive this field? An outline that is drawn, entered or dropped, and every lap and pass in it.

import { figure } from "./answer.js";
import { BadFile, does, dropPlace, enter, headline } from "./door-parts.js";
import { drawn, fill, make } from "./dom.js";
import * as form from "./form.js";
import { Question } from "./request.js";
import { rounded, unitOf, words } from "./units.js";

export const calculation = "field-capacity";

// A drawn field lies in the open sea: only its shape counts.
const SOMEWHERE = [-25, 41];
const METRES = { m: 1, ft: 0.3048 };
const STEP = 5;
const FAR = 10;
const MOST_CORNERS = 60;
const ROOM = 1.14;
const MISSED = 0.001;

// Rings in metres east and north of `origin`, the outside first.
let rings = [];
let origin = SOMEWHERE;
let source = "rectangle";
let across = 0;
let pad = null;
let plan = null;
let again = () => {};
let strip = 0;

export function start(door, tools) {
  again = tools.again;
  pad = make("div", { class: "pad" });
  const buttons = make(
    "p",
    { class: "does" },
    does("Draw it corner by corner", () => beginDrawing()),
    does("Back to the rectangle", () => {
      source = "rectangle";
      again();
    }),
  );
  const drop = dropPlace("Drop the outline as GeoJSON here, or choose it.", ".geojson,.json,application/geo+json", (text) => {
    const [from, found] = outlineOf(text);
    [origin, rings, source] = [from, found, "file"];
    again();
    return `${found[0].length} corners${found.length > 1 ? ` and ${found.length - 1} left out inside` : ""}.`;
  });
  door.querySelector(".rest").append(pad, make("p", { class: "hint", id: "pad-hint" }, "Touch the ground to set a corner. Drag a corner, or move it with the arrow keys; Delete takes it away."), buttons, drop);
  pad.addEventListener("pointerdown", touch);
  pad.addEventListener("keydown", key);
}

export function questions(job) {
  if (source === "rectangle") rings = [rectangle()];
  drawPad();
  if (rings.length === 0 || rings[0].length < 3) return source === "rectangle" ? "Enter how long and how wide it is, draw it, or drop its outline." : "Set three corners or more.";
  const question = new Question(calculation);
  const { value: wide, unit } = job.answer.capacity.width;
  strip = wide * (METRES[unit] ?? 1);
  question.put("/width", `${rounded(wide, 5)} ${unit}`, "match/implement/width");
  question.put("/speed", `${rounded(job.answer.at_work.speed.value, 5)} ${job.answer.at_work.speed.unit}`, "match/speed");
  const { workday } = job.match.body.field ?? {};
  if (workday !== undefined) question.put("/workday", workday, "match/field/workday");
  for (const part of ["turn/radius", "turn/tongue_length", "headland_passes", "direction", "overlap", "stops"]) question.take(`field-capacity/outline/${part}`);
  question.body.outline ??= {};
  question.body.outline.turn ??= {};
  question.put("/outline/polygon", { type: "Polygon", coordinates: rings.map((ring) => [...ring, ring[0]].map(onEarth)) }, "page/field_length");
  question.put("/outline/plan", true);
  return [question];
}

function rectangle() {
  const [long, wide] = ["page/field_length", "page/field_width"].map((name) => metresOf(form.control(name)));
  if (!(long > 0) || !(wide > 0)) return [];
  return [[0, 0], [wide, 0], [wide, long], [0, long]];
}

function metresOf(entry) {
  const [, number, unit] = /^\s*([\d.]+)\s*(\S*)$/.exec(form.value(entry)) ?? [];
  return Number(number) * (METRES[unit || unitOf("Length")] ?? Number.NaN);
}

// ---- on earth and on the pad

// Metres in a degree of latitude and of longitude on the ellipsoid of WGS 84.
function degreeAt(latitude) {
  const turn = (latitude * Math.PI) / 180;
  return [111412.84 * Math.cos(turn) - 93.5 * Math.cos(3 * turn), 111132.92 - 559.82 * Math.cos(2 * turn) + 1.175 * Math.cos(4 * turn)];
}

function onEarth([east, north]) {
  const [long, lat] = degreeAt(origin[1]);
  return [Number((origin[0] + east / long).toFixed(8)), Number((origin[1] + north / lat).toFixed(8))];
}

function onPlane([longitude, latitude]) {
  const [long, lat] = degreeAt(origin[1]);
  return [(longitude - origin[0]) * long, (latitude - origin[1]) * lat];
}

// The first polygon of a file, whatever it is wrapped in.
function outlineOf(text) {
  let content;
  try {
    content = JSON.parse(text);
  } catch {
    throw new BadFile(["It is no GeoJSON: it cannot be read as such."]);
  }
  const features = content?.type === "FeatureCollection" ? content.features ?? [] : [content];
  const shapes = features.map((one) => (one?.type === "Feature" ? one.geometry : one)).flatMap((one) => (one?.type === "MultiPolygon" ? one.coordinates : one?.type === "Polygon" ? [one.coordinates] : []));
  if (shapes.length === 0) throw new BadFile(["It holds no outline: a polygon is needed, not points or lines."]);
  if (shapes.length > 1) throw new BadFile([`It holds ${shapes.length} fields; drop a file with one.`]);
  const [corners] = shapes;
  if (!corners.every((ring) => Array.isArray(ring) && ring.every((at) => Array.isArray(at) && at.every(Number.isFinite) && Math.abs(at[0]) <= 180 && Math.abs(at[1]) <= 85))) {
    throw new BadFile(["Its corners are not in degrees of longitude and latitude."]);
  }
  const from = corners[0][0].slice(0, 2);
  origin = from;
  return [from, corners.map((ring) => ring.slice(0, -1).map(onPlane))];
}

// What the pad shows while it is drawn on, or what the field fills.
function bounds(whole) {
  const all = rings.flat();
  if (whole || all.length === 0) return { left: 0, top: across, wide: across, high: across * 0.75 };
  const [east, north] = [all.map(([x]) => x), all.map(([, y]) => y)];
  const [left, right, bottom, top] = [Math.min(...east), Math.max(...east), Math.min(...north), Math.max(...north)];
  const wide = Math.max(right - left, (top - bottom) / 1.2, 1) * ROOM;
  const high = Math.max(top - bottom, 1) * ROOM;
  return { left: (left + right - wide) / 2, top: (top + bottom + high) / 2, wide, high };
}

let view = { left: 0, top: 0, wide: 1, high: 1 };

function pathOf(ring, closed) {
  return `M${ring.map(([x, y]) => `${x.toFixed(2)} ${(-y).toFixed(2)}`).join("L")}${closed ? "Z" : ""}`;
}

function drawPad() {
  view = bounds(source === "drawn");
  const svg = drawn("svg", { viewBox: `${view.left} ${-view.top} ${view.wide} ${view.high}`, "aria-hidden": "true" });
  svg.append(drawn("path", { d: grid(), class: "grid" }));
  if (rings.length > 0 && rings[0].length > 0) svg.append(drawn("path", { d: rings.map((ring) => pathOf(ring, ring.length > 2)).join(""), class: "ground", "fill-rule": "evenodd" }));
  const corners = source === "drawn" ? rings[0].map(corner) : [];
  const focused = pad.contains(document.activeElement) ? document.activeElement.dataset.corner : undefined;
  fill(pad, svg, ...corners, make("span", { class: "scale" }, `a square is ${words(square().shown)}`));
  pad.style.aspectRatio = `${view.wide} / ${view.high}`;
  pad.classList.toggle("drawing", source === "drawn");
  if (focused !== undefined) pad.querySelector(`[data-corner="${focused}"]`)?.focus();
}

// A square of the ground in round numbers of the unit that is shown.
function square() {
  const unit = unitOf("Length");
  const rough = view.wide / 6 / METRES[unit];
  const ten = 10 ** Math.floor(Math.log10(rough));
  const value = [1, 2, 5, 10].map((one) => one * ten).find((one) => one >= rough * 0.7);
  return { metres: value * METRES[unit], shown: { value, unit } };
}

function grid() {
  const { metres } = square();
  const lines = [];
  for (let x = Math.ceil(view.left / metres) * metres; x < view.left + view.wide; x += metres) lines.push(`M${x} ${-view.top}v${view.high}`);
  for (let y = Math.ceil((view.top - view.high) / metres) * metres; y < view.top; y += metres) lines.push(`M${view.left} ${-y}h${view.wide}`);
  return lines.join("");
}

// ---- drawing

function beginDrawing() {
  const [long, wide] = ["page/field_length", "page/field_width"].map((name) => metresOf(form.control(name)) || 400);
  across = Math.max(long, wide) * 1.5;
  [origin, rings, source] = [SOMEWHERE, [[]], "drawn"];
  again();
  pad.scrollIntoView({ block: "nearest" });
}

function corner([east, north], place) {
  const unit = unitOf("Length");
  const at = [east, north].map((metres) => rounded(metres / METRES[unit], 3));
  const button = make("button", { type: "button", class: "corner", "data-corner": String(place), "aria-label": `Corner ${place + 1}: ${at[0]} ${unit} east, ${at[1]} ${unit} north` });
  button.style.left = `${(100 * (east - view.left)) / view.wide}%`;
  button.style.top = `${(100 * (view.top - north)) / view.high}%`;
  return button;
}

function groundAt(event) {
  const box = pad.getBoundingClientRect();
  return [view.left + ((event.clientX - box.left) / box.width) * view.wide, view.top - ((event.clientY - box.top) / box.height) * view.high];
}

function touch(event) {
  if (source !== "drawn") return;
  const held = event.target.closest("[data-corner]");
  if (held === null) {
    if (rings[0].length >= MOST_CORNERS) return;
    rings[0].splice(nearestSide(groundAt(event)), 0, groundAt(event));
    again();
    drawPad();
    return;
  }
  const place = Number(held.dataset.corner);
  const move = (moved) => {
    rings[0][place] = groundAt(moved);
    drawPad();
  };
  const stop = () => {
    removeEventListener("pointermove", move);
    again();
  };
  addEventListener("pointermove", move);
  addEventListener("pointerup", stop, { once: true });
}

// A new corner goes into the side of the outline that it lengthens least.
function nearestSide(at) {
  const ring = rings[0];
  if (ring.length < 3) return ring.length;
  const far = ([a, b], [c, d]) => Math.hypot(a - c, b - d);
  const longer = ring.map((corner, place) => far(corner, at) + far(at, ring[(place + 1) % ring.length]) - far(corner, ring[(place + 1) % ring.length]));
  return longer.indexOf(Math.min(...longer)) + 1;
}

function key(event) {
  const held = event.target.closest("[data-corner]");
  if (held === null) return;
  const place = Number(held.dataset.corner);
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  if (event.key === "Delete" || event.key === "Backspace") {
    rings[0].splice(place, 1);
  } else if (ways[event.key]) {
    const step = STEP * (event.shiftKey ? FAR : 1);
    rings[0][place] = rings[0][place].map((metres, axis) => metres + step * ways[event.key][axis]);
  } else return;
  event.preventDefault();
  drawPad();
  pad.querySelector(`[data-corner="${Math.min(place, rings[0].length - 1)}"]`)?.focus();
  again();
}

// ---- the answer

const PARTS = [
  ["along the passes", "working"],
  ["laps round the edge", "headland"],
  ["turning", "turning"],
  ["driving between", "between"],
  ["standing", "stopped"],
];

export function shown(job, questions, [answer]) {
  const { outline, capacity } = answer;
  plan = outline.plan;
  return [
    headline(`${words(outline.total)} for ${words(outline.area)}.`),
    make("p", {}, `${counted(outline.passes, "pass", "passes")}${outline.direction === null ? "" : ` ${bearing(outline.direction.value)}`}, ${counted(outline.headland_passes, "lap", "laps")} round the edge, ${counted(outline.turns, "turn", "turns")}.`),
    picture(outline),
    make(
      "dl",
      { class: "figures" },
      figure("Field efficiency", words(capacity.efficiency), `the page counts ${words(job.answer.capacity.efficiency)}`),
      figure("Area an hour", words(capacity.effective)),
      outline.mean_pass === null ? null : figure("A pass", words(outline.mean_pass), `${words(outline.shortest_pass)} to ${words(outline.longest_pass)}`),
      figure("One turn", words(outline.turn_time), outline.turn_length === null ? "" : words(outline.turn_length)),
      capacity.days === null ? null : figure("Days", rounded(capacity.days, 2), "fit for work"),
    ),
    spent(outline),
    outline.missed_area.value > MISSED * outline.area.value ? make("p", {}, `${words(outline.missed_area)} lie in places too narrow to work.`) : null,
    make("p", { class: "does" }, does("Use this field for the job", (button) => use(answer, button)), does("Save the passes as GeoJSON", save)),
  ].filter((one) => one !== null);
}

function bearing(degrees) {
  const round = Math.round(degrees) % 180;
  if (round === 0) return "north and south";
  return round === 90 ? "east and west" : `${round}° east of north and back`;
}

function counted(number, one, many) {
  return `${number} ${number === 1 ? one : many}`;
}

// How the time goes, as one bar with its parts named under it.
function spent(outline) {
  const parts = PARTS.filter(([, part]) => outline[part].value > 0.005 * outline.total.value);
  const bar = make("div", { class: "spent", "aria-hidden": "true" });
  for (const [, part] of parts) {
    const piece = make("span", { class: `of-${part}` });
    piece.style.flexGrow = String(outline[part].value);
    bar.append(piece);
  }
  const names = parts.map(([name, part]) => make("li", {}, make("i", { class: `of-${part}`, "aria-hidden": "true" }), ` ${name} ${Math.round((100 * outline[part].value) / outline.total.value)} %`));
  return make("div", { class: "spent-of" }, bar, make("ul", {}, ...names));
}

// The passes as strips as wide as the tool, with a slider that drives along them.
function picture(outline) {
  const { left, top, wide, high } = bounds(false);
  const svg = drawn("svg", { class: "plan", role: "img", viewBox: `${left} ${-top} ${wide} ${high}`, "aria-label": `The field with ${outline.headland_passes} laps and ${outline.passes} passes drawn.` });
  svg.append(drawn("path", { d: rings.map((ring) => pathOf(ring, true)).join(""), class: "ground", "fill-rule": "evenodd" }));
  const strips = plan.features.map(({ geometry, properties }) => {
    const shape = drawn("path", { d: pathOf(geometry.coordinates.map(onPlane), false), class: `strip ${properties.part}`, "stroke-width": (strip * 0.86).toFixed(2) });
    svg.append(shape);
    return shape;
  });
  const machine = drawn("circle", { r: wide / 75, class: "machine" });
  svg.append(machine);
  const slider = make("input", { type: "range", min: "0", max: String(strips.length), step: "1", value: String(strips.length), "aria-label": "Drive along it" });
  const where = make("b", {});
  const drive = () => {
    const at = Number(slider.value);
    strips.forEach((one, place) => one.classList.toggle("done", place < at));
    const last = plan.features[Math.max(at, 1) - 1];
    const [x, y] = onPlane(at === 0 ? last.geometry.coordinates[0] : last.geometry.coordinates.at(-1));
    machine.setAttribute("cx", x);
    machine.setAttribute("cy", -y);
    const words = at === 0 ? "at the start" : `${last.properties.part === "headland" ? "lap" : "pass"} ${last.properties.number} done`;
    slider.setAttribute("aria-valuetext", words);
    fill(where, words);
  };
  slider.addEventListener("input", drive);
  drive();
  return make("figure", { class: "drive" }, svg, make("div", { class: "levers" }, make("label", { class: "lever" }, make("span", {}, "Drive along it: ", where), slider)));
}

function use({ outline, capacity }, button) {
  for (const part of ["length", "width", "turn/time", "overlap"]) enter(`match/field/shape/${part}`, "");
  enter("match/field/area", words(outline.area, 4));
  enter("match/field/efficiency", words(capacity.efficiency, 4));
  fill(button, "Used: the page now counts with it");
}

function save() {
  const address = URL.createObjectURL(new Blob([JSON.stringify(plan)], { type: "application/geo+json" }));
  make("a", { href: address, download: "passes.geojson" }).click();
  setTimeout(() => URL.revokeObjectURL(address), 1000);
}
