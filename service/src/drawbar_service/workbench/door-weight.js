// Does it need weight? The right mass and split for this work, beside what is there now.

import { figure, limitTable, table } from "./answer.js";
import { chart, headline } from "./door-parts.js";
import { make } from "./dom.js";
import { labelOfLast } from "./form.js";
import { Question } from "./request.js";
import { range, rounded, words } from "./units.js";
import { plainly, WEIGHTS } from "./words.js";

export const calculation = "ballast";

const ON_TRACKS = ["rubber-track", "four-track"];

export function questions(job) {
  const question = new Question(calculation);
  question.takeAll();
  question.carry(job.match, "tractor", "implement", "soil");
  const { value, unit } = job.answer.at_work.speed;
  question.put("/speed", `${rounded(value, 6)} ${unit}`, "match/speed");
  const { slope } = job.match.body.field ?? {};
  if (slope !== undefined) question.put("/slope", slope, "match/field/slope");
  const share = job.match.body.limits?.front_share;
  if (share !== undefined) question.put("/limits/front_share", share, "match/limits/front_share");
  if (!ON_TRACKS.includes(job.match.body.tractor.drive)) question.put("/soil_stress", {});
  return [question];
}

export function shown(job, [question], [answer], door) {
  const { verdict, as_it_stands: now, advised, change } = answer;
  return [
    headline(headOf(answer), verdict.advice === "as-it-stands" ? "holds" : ""),
    make("p", {}, plainly(verdict.summary, labelOfLast)),
    change === null ? null : make("dl", { class: "figures" }, ...hung(change)),
    now === null ? null : axles(now, advised),
    answer.costs.some(({ carried }) => carried) ? cost(answer, door) : null,
    now === null ? null : limitTable("As it stands", now.limits, WEIGHTS),
    now?.soil_stress == null ? null : stress(now, advised),
  ].filter((one) => one !== null);
}

function headOf({ verdict, change }) {
  const sign = change === null ? 0 : Math.sign(change.total.value);
  return {
    "as-it-stands": "No: leave it as it is.",
    cannot: "Weight alone will not mend it.",
    "unknown-ballast": "It is heavy for this; say what can come off.",
    "guide-only": "On tracks, only the rule of thumb.",
    shift: "Move weight, add little.",
  }[verdict.advice] ?? (sign >= 0 ? `Yes: add ${words(change.total)}.` : `Too much: take off ${words(size(change.total))}.`);
}

function size(quantity) {
  return { ...quantity, value: Math.abs(quantity.value) };
}

function hung({ front_ballast: front, rear_ballast: rear }) {
  return [
    ["On the front", front],
    ["On the rear wheels", rear],
  ].map(([name, mass]) => {
    if (Math.abs(mass.value) < 0.5) return figure(name, "nothing");
    return figure(name, `${mass.value > 0 ? "add" : "take off"} ${words(size(mass))}`);
  });
}

// What each axle carries, now and as advised, as bars with their words.
function axles(now, advised) {
  const most = Math.max(...[now, advised].filter((one) => one !== null).flatMap(({ front_mass: front, rear_mass: rear }) => [front.value, rear.value]));
  const rows = [
    ["Front axle, now", now.front_mass, "was"],
    ["Front axle, then", advised?.front_mass, "then"],
    ["Rear axle, now", now.rear_mass, "was"],
    ["Rear axle, then", advised?.rear_mass, "then"],
  ].filter(([, mass]) => mass !== undefined);
  return make(
    "dl",
    { class: "bars" },
    ...rows.map(([name, mass, class_]) => {
      const bar = make("span", { class: `bar-of ${class_}`, "aria-hidden": "true" });
      bar.style.width = `${(70 * mass.value) / most}%`;
      return make("div", {}, make("dt", {}, name), make("dd", {}, bar, make("b", {}, words(mass))));
    }),
  );
}

// Too light slips, too heavy rolls hard: what both take, over the mass.
function cost(answer, door) {
  const carried = answer.costs.filter(({ carried: one }) => one);
  const of = (part) => carried.map((one) => [one.mass.value, one[part].value]);
  const both = carried.map((one) => [one.mass.value, one.slip_power.value + one.rolling_power.value]);
  const unit = carried[0].mass.unit;
  return make(
    "figure",
    {},
    make("figcaption", {}, "Too light slips, too heavy rolls hard"),
    chart(door.querySelector(".door-answer"), {
      name: `Power lost to slip and to rolling over the mass of the tractor, from ${words(carried[0].mass)} to ${words(carried.at(-1).mass)}.`,
      xName: `mass, ${unit}`,
      yName: `power lost, ${carried[0].slip_power.unit}`,
      lines: [
        { points: both, words: "both", class_: "main" },
        { points: of("rolling_power"), words: "rolling", class_: "second" },
        { points: of("slip_power"), words: "slip", class_: "third" },
      ],
      marks: [{ at: Math.min(Math.max(answer.as_it_stands.mass.value, carried[0].mass.value), carried.at(-1).mass.value), words: "now" }],
    }),
    make("p", { class: "note" }, range(answer.pull) ? `At a pull of ${words(answer.pull)}, ${range(answer.pull)}.` : ""),
  );
}

// What a tire does to the soil below it, under the heavier loaded axle.
function stress(now, advised) {
  const axle = now.soil_stress.front.contact_stress.value > now.soil_stress.rear.contact_stress.value ? "front" : "rear";
  const after = advised?.soil_stress?.[axle].stress ?? null;
  const rows = now.soil_stress[axle].stress.map(({ depth, stress: here }, place) =>
    make("tr", {}, make("th", { scope: "row" }, words(depth)), make("td", {}, words(here)), after === null ? null : make("td", {}, words(after[place].stress))),
  );
  const heads = ["Depth", "now", ...(after === null ? [] : ["then"])];
  return make("details", {}, make("summary", {}, `Pressure in the soil under a ${axle} tire`), table("Pressure in the soil", heads, rows, "money"));
}
