// What can be chosen by name: the machines and fields of the example farm, one for each system of units, and one's own,
// which are kept in this browser and nowhere else, in the form of a farm file.

import { flat, nested } from "./leaves.js";
import { lists } from "./units.js";

export const KINDS = ["tractor", "implement", "field"];
const PLURALS = { tractor: "tractors", implement: "implements", field: "fields" };
const KEPT = "drawbar-farm";
// What else a farm file holds: not used on the page, and given back with it.
const RESTS = ["jobs", "season", "tables"];
// Before the name of one's own, where it stands among those of the example.
const MINE = "mine:";

let farm = "metric";
let kept = read();
let changes = 0;

// ---- the example farm

export function useFarm(name) {
  farm = Object.hasOwn(lists.farms, name) ? name : "metric";
}

export function farmInUse() {
  return farm;
}

export function start() {
  return lists.farms[farm].start;
}

export function place() {
  return lists.farms[farm].place;
}

function examples(kind) {
  return lists.farms[farm].presets[kind];
}

export function isExample(kind, choice) {
  return Object.hasOwn(examples(kind), choice);
}

export function exampleNames(kind) {
  return Object.keys(examples(kind));
}

// The example farm that has a machine or field of one of these names, if any has.
export function farmOf(names) {
  return Object.keys(lists.farms).find((one) => KINDS.some((kind) => Object.hasOwn(lists.farms[one].presets[kind], names(kind))));
}

// What stands in the same place on another example farm.
export function counterpart(kind, name, other) {
  const place = exampleNames(kind).indexOf(name);
  return Object.keys(lists.farms[other].presets[kind])[place] ?? lists.farms[other].start.chosen[kind];
}

export function spoken(name) {
  const words = name.replaceAll("-", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

// ---- one's own

function read() {
  const found = { tractors: {}, implements: {}, fields: {}, prices: {} };
  try {
    const written = JSON.parse(localStorage.getItem(KEPT) ?? "{}");
    for (const [part, tables] of Object.entries(written)) if (isTable(tables)) found[part] = tables;
  } catch {
    // Storage may be switched off, or hold what this page never wrote.
  }
  return found;
}

function isTable(part) {
  return typeof part === "object" && part !== null && !Array.isArray(part);
}

// How often what can be chosen has changed.
export function changesKept() {
  return changes;
}

// Whether it could be kept; without storage it lasts as long as the page.
function write() {
  changes += 1;
  try {
    localStorage.setItem(KEPT, JSON.stringify(kept));
    return true;
  } catch {
    return false;
  }
}

export function ownNames(kind) {
  return Object.keys(kept[PLURALS[kind]]);
}

export function choiceOf(name) {
  return `${MINE}${name}`;
}

export function isMine(kind, choice) {
  return choice.startsWith(MINE) && Object.hasOwn(kept[PLURALS[kind]], choice.slice(MINE.length));
}

export function nameOf(choice) {
  return choice.startsWith(MINE) ? choice.slice(MINE.length) : spoken(choice);
}

export function freeName(kind, wanted) {
  const taken = ownNames(kind);
  if (!taken.includes(wanted)) return wanted;
  for (let count = 2; ; count += 1) if (!taken.includes(`${wanted} ${count}`)) return `${wanted} ${count}`;
}

// Keep the values of a machine or field under this name; false where this browser keeps nothing.
export function keepOwn(kind, name, values) {
  kept[PLURALS[kind]][name] = bodyFrom(kind, values);
  kept.prices[kind] ??= {};
  kept.prices[kind][name] = Object.fromEntries(Object.entries(values).filter(([key, text]) => !key.startsWith("match/") && text !== ""));
  return write();
}

export function forget(kind, name) {
  delete kept[PLURALS[kind]][name];
  if (kept.prices[kind]) delete kept.prices[kind][name];
  write();
}

// Take the machines and fields of a farm file in, in place of those of the same name; how many of each kind came.
export function takeIn(file) {
  const counts = {};
  for (const kind of KINDS) {
    const found = file[PLURALS[kind]];
    const whole = Object.entries(isTable(found) ? found : {}).filter(([, body]) => isTable(body));
    for (const [name, body] of whole) kept[PLURALS[kind]][name] = body;
    counts[kind] = whole.length;
  }
  for (const rest of RESTS) if (file[rest] !== undefined) kept[rest] = file[rest];
  return { counts, kept: write() };
}

// ---- both

function bodyFrom(kind, values) {
  if (kind !== "field") return withoutName(nested(values, `match/${kind}/`));
  return { soil: nested(values, "match/soil/"), ...withoutName(nested(values, "match/field/")) };
}

// A farm file names a machine by its place.
function withoutName({ name, ...body }) {
  return body;
}

// A machine or field as a farm file holds it.
export function bodyOf(kind, choice) {
  if (isMine(kind, choice)) return kept[PLURALS[kind]][choice.slice(MINE.length)];
  return bodyFrom(kind, examples(kind)[choice]);
}

// The values that a choice by name gives to controls.
export function valuesOf(kind, choice) {
  if (isExample(kind, choice)) return examples(kind)[choice];
  if (!isMine(kind, choice)) return {};
  const name = choice.slice(MINE.length);
  const body = kept[PLURALS[kind]][name];
  const { soil, ...rest } = kind === "field" ? body : { soil: undefined, ...body };
  return {
    ...(soil === undefined ? {} : flat(soil, "match/soil")),
    ...ofToday(flat(rest, `match/${kind}`)),
    [`match/${kind}/name`]: name,
    ...kept.prices[kind]?.[name],
  };
}

// A farm file may have the old names of members and practices.
function ofToday(values) {
  const { names, practices } = lists.renamed;
  const now = Object.entries(values).map(([name, text]) => [names[name] ?? name, text]);
  return Object.fromEntries(now.map(([name, text]) => [name, name.endsWith("/practice") ? (practices[text] ?? text) : text]));
}

// All of one's own as a farm file holds them.
export function ownFarm() {
  return Object.fromEntries([...Object.values(PLURALS), ...RESTS].filter((part) => kept[part] !== undefined).map((part) => [part, kept[part]]));
}
