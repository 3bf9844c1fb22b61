// The window as a calendar: each day is filled as high as the chance to be done by it.

import { ask, Trouble } from "./ask.js";
import { make } from "./dom.js";
import * as form from "./form.js";
import { rounded } from "./units.js";
import { inHundred } from "./words.js";

const DAY = 86400000;
const MOST_DAYS = 90;
const MOST_LATE = 28;
const HEADS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

function dateOf(iso) {
  return new Date(`${iso}T00:00:00Z`);
}

export function dayInWords(iso) {
  return dateOf(iso).toLocaleDateString("en-GB", { day: "numeric", month: "short", timeZone: "UTC" });
}

// ---- levers

const TRACTORS = "completion/machine_count";

let likelyNow = null;
let likelyBefore = null;

// Sliders that set the hours of a day and the tractors at work; `changed` is called once one has moved.
export function watchLevers(changed) {
  const levers = document.querySelector("#day-levers");
  const hold = () => {
    likelyBefore = likelyNow;
  };
  levers.addEventListener("pointerdown", hold);
  levers.addEventListener("focusin", hold);
  levers.addEventListener("input", ({ target }) => {
    const entry = form.control(target.dataset.lever);
    entry.value = target.value;
    form.edited(entry);
    showLever(target);
    changed();
  });
}

function showLever(slider) {
  const [unit, one, many] = slider.dataset.lever === TRACTORS ? ["", "tractor", "tractors"] : [" h", "hour", "hours"];
  const number = rounded(Number(slider.value));
  slider.setAttribute("aria-valuetext", `${number} ${number === "1" ? one : many}`);
  slider.parentElement.querySelector("b").textContent = `${number}${unit}`;
}

function setLevers() {
  for (const slider of document.querySelectorAll("#day-levers input")) {
    slider.value = Number.parseFloat(form.control(slider.dataset.lever).value) || slider.min;
    showLever(slider);
  }
}

// ---- the calendar

// What comes after the due day, to frost and to the day it is likely done, is asked for apart: the answer ends when it
// is due. Days after it are taken to be as often fit as those before it, unless a record says otherwise.
export async function longer(question, answer) {
  const due = answer.curve.at(-1).date;
  const frost = form.control("page/freeze_up").value;
  const far = [frost, likelyBefore ?? "", answer.dates.likely ?? later(due, MOST_LATE)].sort().at(-1);
  const end = [far, later(answer.curve[0].date, MOST_DAYS)].sort()[0];
  if (end <= due) return null;
  const { suitable, ...body } = question.body;
  const days = suitable === undefined ? {} : { suitable: { ...suitable, period_days: suitable.period_days ?? answer.calendar_days } };
  try {
    const found = await ask("calendar", question.path, { ...body, ...days, end });
    if (found === null) return null;
    const last = [due, frost, likelyBefore ?? "", found.dates.likely ?? ""].sort().at(-1);
    return { dates: found.dates, curve: found.curve.filter(({ date }) => date <= last) };
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    return null;
  }
}

function later(iso, days) {
  return new Date(Date.parse(iso) + days * DAY).toISOString().slice(0, 10);
}

// `likely` is the day by which it is done 8 times in 10, null where that is beyond the window.
export function calendar(points, likely, due = points.at(-1).date) {
  setLevers();
  const frost = form.control("page/freeze_up").value;
  const before = likelyBefore === likely ? null : likelyBefore;
  likelyNow = likely;
  const chances = new Map(points.map(({ date, chance }) => [date, chance]));
  const start = dateOf(points[0].date);
  const days = Math.round((dateOf(points.at(-1).date) - start) / DAY) + 1;
  const blank = (start.getUTCDay() + 6) % 7;
  const cells = Array.from({ length: days }, (_, index) => {
    const iso = new Date(start.getTime() + index * DAY).toISOString().slice(0, 10);
    return cell(iso, chances.get(iso) ?? null, { first: index === 0, due: iso === due, late: iso > due, likely: iso === likely, before: iso === before, frost: iso === frost });
  });
  return make(
    "div",
    { class: "calendar", role: "img", "aria-label": inWords(points, likely, due, frost) },
    ...HEADS.map((name) => make("span", { class: "weekday" }, name)),
    ...Array.from({ length: blank }, () => make("span", {})),
    ...cells,
  );
}

function cell(iso, chance, { first, due, late, likely, before, frost }) {
  const day = dateOf(iso).getUTCDate();
  const box = make("span", { class: ["day", likely && "likely", due && "last", late && "late", before && "before", frost && "frost"].filter((one) => one).join(" ") }, make("b", {}, first || day === 1 ? dayInWords(iso) : String(day)));
  if (chance !== null && chance.value >= 0.5) {
    const level = make("i", {});
    level.style.height = `${chance.value.toFixed(1)}%`;
    box.prepend(level);
  }
  const said = [likely && "8 in 10", frost && "frost", due && "due", before && "before"].find((one) => one);
  if (said) box.append(make("em", {}, said));
  return box;
}

function inWords(points, likely, due, frost) {
  const sure = likely === null ? "" : `, 80 in 100 by ${dayInWords(likely)}`;
  const cold = frost ? ` The ground freezes about ${dayInWords(frost)}.` : "";
  const then = points.find(({ date }) => date >= due) ?? points.at(-1);
  return `Chance to be done by day, from ${dayInWords(points[0].date)} to ${dayInWords(points.at(-1).date)}: ${inHundred(then.chance)} by ${dayInWords(due)}, when it is due${sure}.${cold}`;
}
