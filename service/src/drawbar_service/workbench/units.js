// Quantities as people write them: a number and a unit, in the system of units the page shows.

import { byId } from "./dom.js";

export const lists = JSON.parse(byId("lists").textContent);

const QUANTITY = /^\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3})?)\s*(.*?)\s*$/i;
const GROUPED = /^\d{1,3}(?:[,'’\u00a0\u202f ]\d{3})+(?=\.|$)/;
const KEPT = "drawbar-units";
// What a unit is called on the page where that is not its spelling in requests.
const CALLED = { money: "", 1: "", "ton_short/h": "short ton/h" };

export let system = "metric";

// The system chosen before on this machine, or that of the link that was followed, or what is usual for the language.
export function firstSystem(fromLink) {
  const usual = navigator.language === "en-US" ? "us" : "metric";
  return [kept(), fromLink, usual].find((one) => one === "metric" || one === "us");
}

export function setSystem(chosen, remember) {
  system = chosen;
  if (!remember) return;
  try {
    localStorage.setItem(KEPT, chosen);
  } catch {
    // Storage may be switched off; the choice then lasts as long as the page.
  }
}

function kept() {
  try {
    return localStorage.getItem(KEPT);
  } catch {
    return null;
  }
}

export function unitOf(kind) {
  return lists.kinds[kind][system];
}

export function called(unit) {
  return CALLED[unit] ?? unit.replace("money/", "per ");
}

// A number as people write it, "22,000", "22 000" or "5,5", as requests write it, with what follows it as it is. A comma
// before three digits groups them, unless nothing but a nought is before it; any other is the decimal comma.
export function plainNumber(text) {
  const [, sign, number, rest] = /^\s*([+-]?)([\d.,'’\u00a0\u202f ]*\d)(.*)$/su.exec(text) ?? [];
  if (number === undefined || /[eE]$/.test(number)) return text;
  let bare = number;
  if (!bare.startsWith("0") && GROUPED.test(bare)) bare = bare.replace(/[,'’\u00a0\u202f ]/g, "");
  else if (/^\d{1,3}(?:\.\d{3})+,\d+$/.test(bare)) bare = bare.replaceAll(".", "").replace(",", ".");
  else if (/^\d*,\d+$/.test(bare)) bare = bare.replace(",", ".");
  return `${sign}${bare}${rest}`;
}

// Gears stand in one control: "C1 7.4; C2 9.1", each a name and its speed; a comma with a space after it divides, too.
export function gearsOf(text) {
  return text.split(/;|,\s|\n/).map((one) => one.trim()).filter((one) => one).map((one) => {
    const [, name, speed] = /^(.*?)\s+([\d.,]+(?:\s*[a-z/]+)?)$/i.exec(one) ?? [null, one, ""];
    return { name, speed: plainNumber(speed) };
  });
}

export function eachGear(text, shown) {
  return gearsOf(text).map(({ name, speed }) => [name, speed && shown(speed)].filter((part) => part).join(" ")).join("; ");
}

// The number of `text` in the unit shown for `kind`; text that is not a number with a known unit comes back as it is.
export function inShownUnit(text, kind) {
  const read = QUANTITY.exec(text);
  if (read === null) return text;
  const factors = lists.units[lists.kinds[kind].of];
  const from = read[2] || unitOf(kind);
  const to = unitOf(kind);
  if (!(from in factors)) return text;
  return from === to ? read[1] : rounded((Number(read[1]) * factors[from]) / factors[to], 4);
}

// `text` with the unit that is shown, if it has none of its own.
export function withUnit(text, kind) {
  const read = QUANTITY.exec(text);
  const unit = unitOf(kind);
  if (read === null || read[2]) return text.trim();
  return called(unit) === "" ? read[1] : `${read[1]} ${unit}`;
}

export function rounded(value, digits = 3) {
  const near = Number(value.toPrecision(digits));
  return Math.abs(near) < 1e-6 ? "0" : near.toLocaleString("en", { useGrouping: false, maximumFractionDigits: 6 });
}

// A quantity in words, never rounded up: for the greatest that is allowed.
export function notAbove(quantity, digits = 3) {
  const step = 10 ** (Math.floor(Math.log10(Math.abs(quantity.value) || 1)) + 1 - digits);
  return words({ ...quantity, value: Math.floor(quantity.value / step + 1e-6) * step }, digits);
}

// A quantity of an answer in words.
export function words(quantity, digits = 3) {
  const unit = called(quantity.unit);
  return `${rounded(quantity.value, digits)}${unit ? ` ${unit}` : ""}`;
}

// Its range in words; empty where it has none, or where both ends read the same.
export function range(quantity) {
  if (quantity.low === undefined || quantity.low === null) return "";
  const [low, high] = [rounded(quantity.low), rounded(quantity.high)];
  return low === high ? "" : `${low} to ${high}`;
}

// What a grower calls so many of a ground tool: shanks, rows, coulters.
export function manyOf(tool, count) {
  const [one, many] = lists.tools[tool]?.called ?? ["tool", "tools"];
  return count === 1 ? one : many;
}
