// What should I measure first? What of the unknown moves the answer most.

import { headline } from "./door-parts.js";
import { make } from "./dom.js";
import { Question } from "./request.js";

export const calculation = "sensitivity";

const NOTHING = 0.005;
const OUTPUTS = { slip: "Slip", pto_power: "Power", fuel_per_area: "Fuel by area", capacity: "Area an hour" };
const INPUTS = {
  draft: ["the draft", "the pull of the tool, or the load of the engine at work"],
  depth: ["the depth", "the depth, at several places across the tool"],
  cone_index: ["the soil", "the firmness of the soil under the wheels, with a cone"],
  speed: ["the speed", "the true speed over the ground"],
  rotary: ["the PTO", "the power that the driven machine takes"],
};

export function questions(job) {
  const question = new Question(calculation);
  const { find, odds, ...body } = job.match.body;
  question.carry({ ...job.match, body, nameOf: (pointer) => job.match.nameOf(pointer) }, ...Object.keys(body));
  question.takeAll();
  return [question];
}

export function shown(job, questions, [{ outputs }]) {
  const told = outputs.filter(({ output, inputs }) => output in OUTPUTS && inputs.length > 0);
  const sums = new Map();
  for (const { inputs } of told) for (const { input, total } of inputs) sums.set(input, (sums.get(input) ?? 0) + total);
  const [first] = [...sums].sort(([, one], [, other]) => other - one);
  if (first === undefined) return [headline("Nothing here is uncertain."), make("p", {}, "Say how far off soil, depth or speed may be.")];
  const [name, how] = INPUTS[first[0]];
  return [
    headline(`Measure ${name} first.`),
    make("p", {}, `That is ${how}. The bars say how much of what is not known of an answer each brings, by itself and together with the others.`),
    ...told.map(bars),
  ];
}

function bars({ output, inputs }) {
  const rows = inputs.filter(({ total }) => total >= NOTHING).map(({ input, total }) => {
    const share = Math.max(0, Math.min(100, 100 * total));
    const bar = make("span", { class: "bar-of then", "aria-hidden": "true" });
    bar.style.width = `${0.7 * share}%`;
    return make("div", {}, make("dt", {}, INPUTS[input][0]), make("dd", {}, bar, make("b", {}, `${Math.round(share)} %`)));
  });
  return make("section", { class: "moved" }, make("h4", {}, OUTPUTS[output]), make("dl", { class: "bars" }, ...rows));
}
