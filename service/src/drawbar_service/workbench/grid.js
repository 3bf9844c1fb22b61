// What three sliders may set, depth, tools and soil, as rows of one batch: any place of the sliders is a row of it.

import { inShownUnit, lists, manyOf, rounded, unitOf } from "./units.js";

const SURFACES = ["hard", "firm", "tilled", "soft"];
const DEPTHS = [0.6, 0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.3, 1.4];
const FEWER = 6;
const MORE = 2;
const QUANTITY = /^\s*([\d.]+)\s*(\S.*)$/;

// The three axes about what is set now; null where the tool is not of so many at a depth.
export function axesOf({ implement, soil }) {
  const main = implement?.tools?.[0];
  const [, depth, unit] = QUANTITY.exec(main?.depth ?? "") ?? [];
  if (depth === undefined || typeof main.count !== "number") return null;
  const least = Math.max(1, main.count - FEWER);
  const counts = Array.from({ length: main.count + MORE - least + 1 }, (_, index) => least + index);
  return [
    { name: "Depth", at: DEPTHS.indexOf(1), values: DEPTHS.map((part) => part * Number(depth)), words: (value) => `${rounded(value)} ${unit}`, unit },
    { name: `${capital(manyOf(main.tool, 2))} on it`, at: counts.indexOf(main.count), values: counts, words: String },
    { name: "Soil tonight", at: SURFACES.indexOf(soil.surface), values: SURFACES, words: String },
  ];
}

export function capital(word) {
  return word.charAt(0).toUpperCase() + word.slice(1);
}

// The row of machine `place` where the sliders stand at `at`.
export function rowAt(axes, place, at) {
  return axes.reduce((row, { values }, axis) => row * values.length + at[axis], place);
}

// What varies with the count or the width of the main tool, each of `wholes`: the others keep their share of it.
export function widened(tools, wholes) {
  const inWidth = ({ width }) => Number.parseFloat(inShownUnit(width ?? "", "Width"));
  const counted = ({ tool }) => lists.tools[tool]?.by !== "m";
  const set = counted(tools[0]) ? Number(tools[0].count) : inWidth(tools[0]);
  return Object.fromEntries(
    tools.map((tool, place) => {
      const parts = wholes.map((whole) => (place === 0 ? whole : ((counted(tool) ? Number(tool.count) : inWidth(tool)) * whole) / set));
      if (counted(tool)) return [`/implement/tools/${place}/count`, parts.map((part) => Math.max(1, Math.round(part)))];
      return [`/implement/tools/${place}/width`, { unit: unitOf("Width"), values: parts }];
    }),
  );
}

// What varies over `machines` and all places of the sliders.
export function varied(axes, { implement }, pointer, machines) {
  const [depths, counts, surfaces] = axes;
  const rows = machines.flatMap((machine) =>
    depths.values.flatMap((depth) => counts.values.flatMap((count) => surfaces.values.map((surface) => ({ machine, depth, count, surface })))),
  );
  return {
    [pointer]: rows.map(({ machine }) => machine),
    "/implement/tools/0/depth": { unit: depths.unit, values: rows.map(({ depth }) => depth) },
    "/soil/surface": rows.map(({ surface }) => surface),
    ...widened(implement.tools, rows.map(({ count }) => count)),
  };
}
