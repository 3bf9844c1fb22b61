// A file of one's own: the days fit for work week by week, or the weather day by day.

import { ask, Trouble } from "./ask.js";
import { dayInWords } from "./calendar.js";
import { dayOf, numberOf, rowsOf } from "./door-csv.js";
import { BadFile, dropPlace, enter } from "./door-parts.js";
import { make } from "./dom.js";
import { control } from "./form.js";
import { useRecord } from "./record.js";
import { plainly } from "./words.js";

const DAY = 86400000;
const LONGEST_GAP = 31;
const WEEKS = {
  year: "year",
  week: "week",
  week_ending: "week_ending",
  week_end: "week_ending",
  date: "week_ending",
  days: "days",
  days_suitable: "days",
  suitable_days: "days",
  fit_days: "days",
  state: "place",
  place: "place",
  topsoil: "topsoil",
};
const WEATHER = { day: "date", date: "date", high: "high", low: "low", rain: "rain", precip: "rain", snowdepth: "snow_depth", snow_depth: "snow_depth" };
const SCALES = { mm: 1, cm: 10, in: 25.4 };

export function readDays(details) {
  const latitude = make("input", { type: "text", "data-form": "number", inputmode: "decimal", id: "days-latitude", autocomplete: "off" });
  details.append(
    make("p", { class: "hint" }, "Either weeks, with columns such as year, week and days; or days, with date, high, low and rain, their units in the heading. It is sent to be calculated and not kept."),
    make("div", { class: "control" }, make("label", { for: "days-latitude" }, "Degrees north, for weather"), make("span", { class: "entry" }, latitude)),
    dropPlace("Drop the file here, or choose it.", ".csv,.txt,.tsv,text/csv", (text, name) => take(text, name, latitude.value)),
  );
}

async function take(text, name, latitude) {
  const [head] = text.split(/\r?\n/, 1);
  if (/rain|precip/i.test(head)) return weather(text, name, latitude);
  const record = weeksOf(text);
  useRecord(record, name);
  announce();
  const years = new Set(record.weeks.map((week) => week.year ?? week.week_ending.slice(0, 4)));
  return `${record.weeks.length} weeks of ${years.size} years are taken.`;
}

// The page hears of it as of anything that is entered.
function announce() {
  control("page/record").dispatchEvent(new Event("input", { bubbles: true }));
}

function weeksOf(text) {
  const faults = [];
  let place;
  const weeks = rowsOf(text, WEEKS, [["days"], ["week_ending", "week"]]).map((line) => {
    place ??= line.row.place?.text;
    const [year, week] = [numberOf(line, "year", faults, 1900, 2200), numberOf(line, "week", faults, 1, 53)];
    const end = dayOf(line, "week_ending", faults);
    const [days, topsoil] = [numberOf(line, "days", faults, 0, 7), numberOf(line, "topsoil", faults, 0, 3)];
    if (days === undefined && topsoil === undefined) return null;
    const when = year !== undefined && week !== undefined ? { year, week } : { week_ending: end };
    if (when.year === undefined && end === undefined) faults.push(`Line ${line.line}: neither year and week nor the last day of the week.`);
    return { ...when, ...(days === undefined ? {} : { days }), ...(topsoil === undefined ? {} : { topsoil }) };
  });
  if (faults.length > 0) throw new BadFile(faults);
  const found = weeks.filter((week) => week !== null);
  if (found.length === 0) throw new BadFile(["It has no week with days."]);
  return { weeks: found, ...(place === undefined ? {} : { place: place.slice(0, 80) }) };
}

async function weather(text, name, latitude) {
  const body = weatherOf(text);
  const north = Number(latitude.replace(",", "."));
  if (latitude.trim() !== "" && Number.isFinite(north)) body.latitude = north;
  let answer;
  try {
    answer = await ask("days", "v1/days", body);
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    throw new BadFile(error.faults.length > 0 ? error.faults.map(({ detail }) => plainly(detail, () => null)) : [error.message]);
  }
  if (answer === null) return "Another file came in between.";
  useRecord(answer.record, name);
  const { middle, early, late } = answer.freeze_up;
  const cold = middle === null ? "" : ` The ground froze about ${dayInWords(middle)}, from ${dayInWords(early)} to ${dayInWords(late)}.`;
  if (middle !== null) enter("page/freeze_up", inSeason(middle));
  announce();
  return `${answer.summary}${cold}`;
}

// The same day of the year of the window.
function inSeason(iso) {
  const { value: start } = control("completion/start");
  const day = `${start.slice(0, 4)}${iso.slice(4)}`;
  return day >= start ? day : `${Number(start.slice(0, 4)) + 1}${iso.slice(4)}`;
}

function weatherOf(text) {
  const faults = [];
  const days = new Map();
  for (const line of rowsOf(text, WEATHER, [["date"], ["high"], ["low"], ["rain"]])) {
    const date = dayOf(line, "date", faults);
    if (date === undefined) {
      if (line.row.date === undefined) faults.push(`Line ${line.line}: no date.`);
      continue;
    }
    if (days.has(date)) faults.push(`Line ${line.line}: ${date} stands there twice.`);
    days.set(date, {
      high: celsius(line, "high", faults),
      low: celsius(line, "low", faults),
      rain: depth(line, "rain", faults),
      snow_depth: depth(line, "snow_depth", faults),
    });
  }
  if (faults.length > 0) throw new BadFile(faults);
  return laidOut(days);
}

function celsius(line, name, faults) {
  const value = numberOf(line, name, faults, -130, 158);
  if (value === undefined) return null;
  return /^°?f/i.test(line.row[name].unit) ? Number(((value - 32) / 1.8).toFixed(2)) : value;
}

function depth(line, name, faults) {
  const value = numberOf(line, name, faults, 0, 20000);
  return value === undefined ? null : Number((value * (SCALES[line.row[name].unit.toLowerCase()] ?? 1)).toFixed(2));
}

// One day after the other; a day without a line has no figures.
function laidOut(days) {
  const dates = [...days.keys()].sort();
  const faults = [];
  dates.slice(1).forEach((date, place) => {
    if ((Date.parse(date) - Date.parse(dates[place])) / DAY > LONGEST_GAP) faults.push(`No line for the days from ${dates[place]} to ${date}.`);
  });
  if (faults.length > 0) throw new BadFile(faults);
  const many = Math.round((Date.parse(dates.at(-1)) - Date.parse(dates[0])) / DAY) + 1;
  const every = Array.from({ length: many }, (_, day) => days.get(new Date(Date.parse(dates[0]) + day * DAY).toISOString().slice(0, 10)));
  const column = (name) => every.map((day) => day?.[name] ?? null);
  const body = { first: dates[0], rain: column("rain"), high: column("high"), low: column("low") };
  const snow = column("snow_depth");
  return snow.some((one) => one !== null) ? { ...body, snow_depth: snow } : body;
}
