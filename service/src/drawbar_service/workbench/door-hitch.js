// Will it hitch? Hitch, drawbar, axles, tires and the road.

import { figure, limitTable } from "./answer.js";
import { headline } from "./door-parts.js";
import { make } from "./dom.js";
import { control } from "./form.js";
import { Question } from "./request.js";
import { rounded, words } from "./units.js";
import { CHECKS } from "./words.js";

export const calculation = "hitch";

// Which entries of the tool mean something, by how it hangs on the tractor.
const MEANT = {
  drawbar: ["drawbar", "tongue_share"],
  "semi-mounted": ["three_point", "tongue_share"],
  "three-point": ["three_point", "center_of_mass"],
};
const ROAD = ["width", "tractor_length", "machine_length"];

export function questions(job) {
  const { implement, tractor } = job.match.body;
  const meant = MEANT[implement.hitch];
  for (const part of ["drawbar", "three_point", "tongue_share", "center_of_mass"]) {
    control(`hitch/machine/${part}`).closest(".control").hidden = !meant.includes(part);
  }
  const question = new Question(calculation);
  question.carry(job.match, "tractor");
  for (const part of ["three_point", "drawbar", "pto/0", "vertical_limit"]) question.take(`hitch/hitch/${part}`);
  question.put("/machine/hitch", implement.hitch, "match/implement/hitch");
  if (implement.mass !== undefined) question.put("/machine/mass", implement.mass, "match/implement/mass");
  for (const part of [...meant, "pto"]) question.take(`hitch/machine/${part}`);
  for (const axle of ["front", "rear"]) {
    question.take(`hitch/tires/${axle}/rated_load`);
    const count = tractor.tires?.[axle]?.count;
    if (question.body.tires?.[axle] !== undefined && count !== undefined) {
      question.put(`/tires/${axle}/count`, count);
      question.put(`/tires/${axle}/mounting`, { 2: "single", 4: "dual", 6: "triple" }[count]);
    }
  }
  question.take("hitch/tires/machine/rated_load");
  if (question.body.tires?.machine !== undefined) question.take("hitch/tires/machine/count");
  question.take(`hitch/road/${ROAD[0]}`);
  if (question.body.road !== undefined) {
    for (const part of [...ROAD.slice(1), "speed", "greatest_width", "greatest_length"]) question.take(`hitch/road/${part}`);
  }
  return [question];
}

export function shown(job, questions, [answer]) {
  const broken = answer.checks.filter(({ kept }) => !kept);
  const head = answer.fits
    ? answer.checks.length > 0 ? "Yes, it hitches." : "Nothing to check yet."
    : `No: ${[...new Set(broken.map(({ name }) => CHECKS[name]))].join(", ")}.`;
  const { loads, road } = answer;
  const figures = [
    loads === null ? null : figure("On the hitch", words(loads.hitch), loads.hitch_share === null ? "" : `${words(loads.hitch_share)} of the tool`),
    loads?.front == null ? null : figure("On the front axle", words(loads.front), loads.front_share === null ? "" : `${words(loads.front_share)} of the tractor's weight`, `${words(loads.front_alone)} without the tool`),
    loads?.rear == null ? null : figure("On the rear axle", words(loads.rear)),
    road === null ? null : figure("On the road", `${words(road.width)} wide`, `${words(road.length)} long`, road.mass === null ? "" : words(road.mass)),
  ].filter((one) => one !== null);
  return [
    headline(head, answer.fits ? (answer.checks.length > 0 ? "holds" : "") : "fails"),
    broken.length > 0 ? make("p", {}, ...broken.map(({ detail }) => `${detail}. `)) : null,
    make("dl", { class: "figures" }, ...figures),
    answer.checks.length > 0 ? limitTable("Hitch and road", answer.checks, CHECKS) : null,
    make("p", {}, suits(answer)),
  ].filter((one) => one !== null);
}

// What the trade usually puts on a tractor of this power.
function suits({ three_point: points, drawbar, pto }) {
  const parts = [
    points.length > 0 ? `three-point category ${points.map(({ category }) => category).join(" or ")}` : "",
    drawbar === null ? "" : `drawbar category ${drawbar} or above`,
    pto.length > 0 ? `a shaft with ${pto.map(({ splines, speed }) => `${splines} splines at ${rounded(speed.value)} r/min`).join(" or ")}` : "",
  ].filter((part) => part);
  return parts.length > 0 ? `Usual for this power: ${parts.join("; ")}.` : "";
}
