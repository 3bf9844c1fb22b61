// What sliders may set, depth, shanks and soil, as rows of one batch: any place of the sliders is a row of it.

import { inShownUnit, lists, manyOf, rounded, unitOf } from "./units.js";

const SURFACES = ["hard", "firm", "tilled", "soft"];
const DEPTHS = [0.6, 0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.3, 1.4];
const WIDTHS = [0.6, 0.7, 0.8, 0.9, 1, 1.1, 1.2];
const FEWER = 6;
const MORE = 2;
const MAIN = "/implement/tools/0";
const QUANTITY = /^\s*([\d.]+)\s*(\S.*)$/;

// The axes about what is set now: those of the tool where machines pull the same one, and the soil.
export function axesOf(scenario, sameTool) {
  const tools = sameTool ? (scenario.implement?.tools ?? []) : [];
  return [depthAxis(tools), wholeAxis(tools), soilAxis(scenario.soil)].filter((axis) => axis !== null);
}

function depthAxis([main]) {
  const [, depth, unit] = QUANTITY.exec(main?.depth ?? "") ?? [];
  if (depth === undefined) return null;
  const values = DEPTHS.map((part) => Number(rounded(part * Number(depth), 4)));
  return {
    name: "Depth",
    at: DEPTHS.indexOf(1),
    values,
    words: (value) => `${rounded(value)} ${unit}`,
    columns: (rows) => ({ [`${MAIN}/depth`]: { unit, values: rows } }),
  };
}

function wholeAxis(tools) {
  const [main] = tools;
  if (main === undefined) return null;
  const columns = (rows) => widened(tools, rows);
  if (isCounted(main)) {
    const count = Number(main.count);
    if (!Number.isInteger(count) || count < 1) return null;
    const least = Math.max(1, count - FEWER);
    const values = Array.from({ length: count + MORE - least + 1 }, (_, index) => least + index);
    return { name: `${capital(manyOf(main.tool, 2))} on it`, at: values.indexOf(count), values, words: String, columns, whole: true };
  }
  const width = widthOf(main);
  if (!Number.isFinite(width)) return null;
  const values = WIDTHS.map((part) => Number(rounded(part * width, 4)));
  return { name: "Width", at: WIDTHS.indexOf(1), values, words: (value) => `${rounded(value)} ${unitOf("Width")}`, columns };
}

function soilAxis(soil) {
  const at = SURFACES.indexOf(soil?.surface);
  if (at < 0) return null;
  return { name: "Soil tonight", at, values: SURFACES, words: String, columns: (rows) => ({ "/soil/surface": rows }) };
}

export function capital(word) {
  return word.charAt(0).toUpperCase() + word.slice(1);
}

function isCounted({ tool }) {
  return lists.tools[tool]?.by !== "m";
}

function widthOf({ width }) {
  return Number.parseFloat(inShownUnit(width ?? "", "Width"));
}

// The row of machine `place` where the sliders stand at `at`.
export function rowAt(axes, place, at) {
  return axes.reduce((row, { values }, axis) => row * values.length + at[axis], place);
}

// What varies with the count or the width of the main tool, each of `wholes`: the others keep their share of it.
export function widened(tools, wholes) {
  const set = isCounted(tools[0]) ? Number(tools[0].count) : widthOf(tools[0]);
  return Object.fromEntries(
    tools.map((tool, place) => {
      const parts = wholes.map((whole) => (place === 0 ? whole : ((isCounted(tool) ? Number(tool.count) : widthOf(tool)) * whole) / set));
      if (isCounted(tool)) return [`/implement/tools/${place}/count`, parts.map((part) => Math.max(1, Math.round(part)))];
      return [`/implement/tools/${place}/width`, { unit: unitOf("Width"), values: parts }];
    }),
  );
}

// What varies over `machines` and all places of the sliders.
export function varied(axes, pointer, machines) {
  const rows = axes.reduce((found, { values }) => found.flatMap((row) => values.map((value) => [...row, value])), machines.map((machine) => [machine]));
  const columns = axes.map((axis, place) => axis.columns(rows.map((row) => row[place + 1])));
  return Object.assign({ [pointer]: rows.map(([machine]) => machine) }, ...columns);
}

// What a request holds where the sliders stand, of those that were moved: each pointer with its text.
export function setAt(axes, at) {
  const moved = axes.flatMap((axis, place) => (at[place] === axis.at ? [] : [axis.columns([axis.values[at[place]]])]));
  return Object.fromEntries(
    Object.entries(Object.assign({}, ...moved)).map(([pointer, column]) => [pointer, Array.isArray(column) ? String(column[0]) : `${rounded(column.values[0], 4)} ${column.unit}`]),
  );
}
