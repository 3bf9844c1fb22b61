// The window as a calendar: each day is filled as high as the chance to be done by it.

import { make } from "./dom.js";
import { inHundred } from "./words.js";

const DAY = 86400000;
const HEADS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

function dateOf(iso) {
  return new Date(`${iso}T00:00:00Z`);
}

export function dayInWords(iso) {
  return dateOf(iso).toLocaleDateString("en-GB", { day: "numeric", month: "short", timeZone: "UTC" });
}

// `likely` is the day by which it is done 8 times in 10, null where that is beyond the window.
export function calendar(points, likely) {
  const chances = new Map(points.map(({ date, chance }) => [date, chance]));
  const start = dateOf(points[0].date);
  const days = Math.round((dateOf(points.at(-1).date) - start) / DAY) + 1;
  const blank = (start.getUTCDay() + 6) % 7;
  const cells = Array.from({ length: days }, (_, index) => {
    const iso = new Date(start.getTime() + index * DAY).toISOString().slice(0, 10);
    return cell(iso, chances.get(iso) ?? null, { first: index === 0, last: index === days - 1, likely: iso === likely });
  });
  return make(
    "div",
    { class: "calendar", role: "img", "aria-label": inWords(points, likely) },
    ...HEADS.map((name) => make("span", { class: "weekday" }, name)),
    ...Array.from({ length: blank }, () => make("span", {})),
    ...cells,
  );
}

function cell(iso, chance, { first, last, likely }) {
  const day = dateOf(iso).getUTCDate();
  const box = make("span", { class: `day${likely ? " likely" : ""}${last ? " last" : ""}` }, make("b", {}, first || day === 1 ? dayInWords(iso) : String(day)));
  if (chance !== null && chance.value >= 0.5) {
    const level = make("i", {});
    level.style.height = `${chance.value.toFixed(1)}%`;
    box.prepend(level);
  }
  if (likely) box.append(make("em", {}, "8 in 10"));
  else if (last) box.append(make("em", {}, "due"));
  return box;
}

function inWords(points, likely) {
  const sure = likely === null ? "" : `, 80 in 100 by ${dayInWords(likely)}`;
  return `Chance to be done by day, from ${dayInWords(points[0].date)} to ${dayInWords(points.at(-1).date)}: ${inHundred(points.at(-1).chance)} by the last day${sure}.`;
}
