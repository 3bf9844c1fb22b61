// Is there enough oil? What the tool takes against pump and outlets.

import { limitTable, table } from "./answer.js";
import { headline } from "./door-parts.js";
import { make } from "./dom.js";
import { Question } from "./request.js";
import { words } from "./units.js";
import { CHECKS } from "./words.js";

export const calculation = "hydraulics";

const NAMES = ["held down", "motor", "lift", "fold"];

export function questions() {
  const question = new Question(calculation);
  for (const part of ["pump", "flow", "pressure", "outlets", "outlet_flow"]) question.take(`hydraulics/tractor/${part}`);
  const rows = question.takeRows("/functions");
  if (rows.length === 0) return "Fill in what the tool takes: what is pressed down, a motor, or cylinders to lift and fold.";
  rows.forEach((row, place) => question.put(`/functions/${place}/name`, NAMES[row]));
  return [question];
}

export function shown(job, questions, [answer]) {
  const broken = answer.checks.filter(({ kept }) => !kept);
  const head = answer.fits ? "Yes, there is enough." : `No: ${[...new Set(broken.map(({ name }) => CHECKS[name]))].join(" and ")}.`;
  const rows = answer.functions.map((one) =>
    make("tr", {}, make("th", { scope: "row" }, one.name), make("td", {}, one.constant ? "all the time" : "now and then"), make("td", {}, words(one.flow)), make("td", {}, words(one.pressure)), make("td", {}, words(one.power))),
  );
  const constant = answer.duties.find(({ name }) => name === "constant");
  return [
    headline(head, answer.fits ? "holds" : "fails"),
    make("p", {}, ...broken.map(({ detail }) => `${detail}. `), `The pump gives ${words(answer.available_flow)} at full throttle.`),
    limitTable("Oil", answer.checks, CHECKS),
    table("What it takes", ["", "When", "Flow", "Pressure", "Power"], rows, "money"),
    constant === undefined ? null : make("p", {}, `What flows all the time takes ${words(constant.pto_power)} from the PTO, of which ${words(constant.heat)} turn to heat.`),
  ].filter((one) => one !== null);
}
