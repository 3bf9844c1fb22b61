// A tractor and its tool, drawn from the side and to scale from what is known of them: sizes of tires, the wheelbase, rows
// of ground tools and their depth. The shapes are nobody's.

import { drawn } from "./dom.js";
import { lists } from "./units.js";

const INCH = 0.0254;
const QUANTITY = /^\s*([\d.]+)\s*([a-z]+)/i;
const NO_WHEELBASE = 2.6;
const CLEAR = 0.75; // frame above ground [m]
const RANK = 0.75; // from one rank of tools to the next [m]
// Ranks seen from the side, by the first word of a ground tool's id.
const RANKS = { chisel: 3, field: 4, subsoiler: 2, knife: 1, coulter: 1, row: 2, moldboard: 4, disk: 2 };
const ROUND = /^(disk|coulter|rotary|roller|row-crop-planter|grain-drill)/;
const BOXES = /^(grain|hoe|pneumatic)-drill|^pneumatic-drill|^row-crop-planter/;

function metres(text, otherwise) {
  const [, number, unit] = QUANTITY.exec(text ?? "") ?? [];
  const factor = lists.units.length[unit];
  return factor === undefined ? otherwise : Number(number) * factor;
}

// The overall diameter a sidewall stands for, near enough to draw: 620/70R42, 18.4R34, 11L-15.
export function diameter(size, otherwise = 1.4) {
  const [, width, aspect] = /^\D*(\d{3})\/(\d{2})/.exec(size ?? "") ?? [];
  const rim = Number(/[-RDB ]\s*(\d{2}(?:\.\d)?)\D*$/i.exec(size ?? "")?.[1]);
  const old = Number(/^\s*(\d{1,2}(?:\.\d+)?)/.exec(size ?? "")?.[1]);
  const found = width ? rim * INCH + (2 * width * aspect) / 1e5 : (rim + 1.7 * old) * INCH;
  return Number.isFinite(found) ? Math.min(Math.max(found, 0.5), 2.5) : otherwise;
}

// Points of a path in metres, up from the ground, x forward.
function path(points, class_, closed = true) {
  const d = points.map(([x, y], place) => `${place ? "L" : "M"}${x.toFixed(2)} ${(-y).toFixed(2)}`).join("") + (closed ? "z" : "");
  return drawn("path", { d, class: class_ });
}

function wheel(x, radius, count) {
  const shapes = [drawn("circle", { cx: x, cy: -radius, r: radius, class: "tire" }), drawn("circle", { cx: x, cy: -radius, r: radius * 0.52, class: "rim" })];
  // Duals and triples stand one behind the other: each a rim more.
  for (let more = 2; more < count; more += 2) shapes.push(drawn("circle", { cx: x, cy: -radius, r: radius * (0.52 - 0.09 * more), class: "rim" }));
  return shapes;
}

function belt(from, to, height) {
  const r = height / 2;
  return [drawn("rect", { x: from - r, y: -height, width: to - from + height, height, rx: r, class: "tire" }), drawn("rect", { x: from - r * 0.35, y: -r * 1.35, width: to - from + r * 0.7, height: r * 0.7, rx: r * 0.35, class: "rim" })];
}

// Drawn with the rear axle at nought; the front of it is returned.
function tractorShapes({ drive, tires = {}, wheelbase }) {
  const between = metres(wheelbase, NO_WHEELBASE);
  const rear = diameter(tires.rear?.size, drive === "rubber-track" ? 1.5 : 1.4) / 2;
  const front = diameter(tires.front?.size, 2 * rear * 0.75) / 2;
  const articulated = drive === "four-wheel" || drive === "four-track";
  const [cab, hood, deck] = articulated ? [[0.36, 0.66], [0.66, 1], [-0.1, 0.36]] : [[-0.2, 0.4], [0.4, 1], null];
  const top = rear * 1.1 + 0.5;
  const nose = between + front * (articulated ? 0.75 : 0.35);
  const floor = rear * 0.85;
  const wide = (part) => part * between;
  const body = [
    path([[wide(hood[0]), floor], [nose, floor], [nose, top - 0.22], [nose - 0.2, top - 0.08], [wide(hood[0]), top]], "body"),
    path([[wide(cab[0]), floor], [wide(cab[1]), floor], [wide(cab[1]) - 0.05, top + 0.95], [wide(cab[0]) + 0.1, top + 0.95]], "body"),
    path([[wide(cab[0]) + 0.2, top - 0.05], [wide(cab[1]) - 0.16, top - 0.05], [wide(cab[1]) - 0.2, top + 0.8], [wide(cab[0]) + 0.26, top + 0.8]], "glass"),
    path([[-rear * 0.7, rear * 0.7], [nose - 0.3, Math.min(rear, front) * 0.9], [nose - 0.3, floor], [-rear * 0.7, floor]], "body"),
  ];
  if (deck) body.push(path([[wide(deck[0]) - rear * 0.6, floor], [wide(deck[1]), floor], [wide(deck[1]), floor + 0.45], [wide(deck[0]) - rear * 0.6, floor + 0.3]], "body"));
  const ground = {
    "rubber-track": () => belt(0, between, 1.15),
    "four-track": () => [...belt(-0.6, 0.6, 1.15), ...belt(between - 0.6, between + 0.6, 1.15)],
  }[drive] ?? (() => [...wheel(between, front, tires.front?.count ?? 2), ...wheel(0, rear, tires.rear?.count ?? 2)]);
  const ahead = drive === "four-track" ? between + 1.2 : drive === "rubber-track" ? between + 0.6 : between + front;
  return { shapes: [...body, ...ground()], front: Math.max(ahead, nose), back: -Math.max(rear, drive === "four-track" ? 1.2 : 0), height: top + 0.95 };
}

function groundTool({ tool, depth }, x) {
  const deep = metres(depth, 0.05);
  if (ROUND.test(tool)) return drawn("circle", { cx: x, cy: -(0.3 - deep), r: 0.3, class: "disk" });
  return drawn("path", { d: `M${x} ${-CLEAR}q-0.32 0.25 -0.1 ${CLEAR * 0.7}T${(x + 0.12).toFixed(2)} ${deep.toFixed(2)}`, class: "shank" });
}

// Drawn backwards from `hitch`; the end of it is returned.
function toolShapes({ hitch, tools = [], depth }, from) {
  const drawbar = hitch !== "three-point";
  const start = from - (drawbar ? 1.6 : 0.5);
  if (tools.length === 0) {
    const end = start - 3.6;
    return {
      shapes: [path([[from, 0.5], [start, 0.6]], "bar", false), path([[start, 0.6], [start - 0.6, 2], [end, 2.2], [end, 0.6]], "body"), ...wheel(start - 2, 0.5, 2)],
      back: end,
    };
  }
  const ranks = tools.flatMap((one) => Array.from({ length: RANKS[one.tool.split(/[-.]/)[0]] ?? 1 }, () => one));
  // What runs ahead of the main tool stands in front of it.
  const ordered = [...ranks.filter(({ tool }) => ROUND.test(tool)), ...ranks.filter(({ tool }) => !ROUND.test(tool))];
  const end = start - RANK * (ordered.length - 1) - 0.35;
  const shapes = [path([[from, 0.55], [start, CLEAR]], "bar", false), path([[start + 0.2, CLEAR], [end, CLEAR]], "bar", false)];
  ordered.forEach((one, place) => shapes.push(groundTool(one, start - RANK * place)));
  if (BOXES.test(tools[0].tool)) {
    shapes.push(path([[start + 0.3, CLEAR], [start + 0.5, CLEAR + 0.75], [end - 0.3, CLEAR + 0.75], [end - 0.1, CLEAR]], "body"));
  }
  if (drawbar) shapes.push(...wheel((start + end) / 2 - 0.2, 0.4, 2));
  return { shapes, back: end - 0.2 };
}

// Both, one behind the other, with the ground they stand on; null where too little is known to draw them.
export function drawing(tractor, implement) {
  if (!tractor?.drive || !implement?.hitch) return null;
  const pulling = tractorShapes(tractor);
  const pulled = toolShapes(implement, pulling.back - 0.1);
  const [left, right, deep] = [pulled.back - 0.1, pulling.front + 0.1, 0.55];
  const svg = drawn("svg", { viewBox: `${left.toFixed(2)} ${(-pulling.height - 0.1).toFixed(2)} ${(right - left).toFixed(2)} ${(pulling.height + 0.1 + deep).toFixed(2)}`, class: "drawing", "aria-hidden": "true" });
  svg.style.setProperty("--long", (right - left).toFixed(2));
  svg.style.setProperty("--high", (pulling.height + 0.1 + deep).toFixed(2));
  svg.append(drawn("path", { d: `M${left} 0H${right}`, class: "soil" }), ...pulled.shapes, ...pulling.shapes);
  return svg;
}
