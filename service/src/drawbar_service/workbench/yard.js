// The yard: a lane for each tractor on this tool, or for each tool behind this tractor, best first, from one batch.

import { ask, Trouble } from "./ask.js";
import { dayInWords } from "./calendar.js";
import { byId, fill, make } from "./dom.js";
import { drawing } from "./drawing.js";
import { finishAt, learnFinish } from "./finish.js";
import { choice, described } from "./form.js";
import { axesOf, rowAt, setAt, varied } from "./grid.js";
import { STOPS } from "./limits.js";
import { bodyOf, choiceOf, exampleNames, isExample, isMine, ownNames } from "./machines.js";
import { scale, toolRange } from "./ruler.js";
import { called, manyOf, notAbove, rounded, system } from "./units.js";

const FLEETS = { tractor: "tractors", implement: "tools" };
const COLUMNS = [
  "/verdict/word",
  "/greatest/speed/holds",
  "/greatest/speed/value",
  "/greatest/speed/limited_by",
  "/greatest/width/count",
  "/greatest/width/holds_count",
  "/greatest/width/holds",
  "/greatest/depth/holds",
  "/verdict/binding",
  "/capacity/effective",
  "/fuel/per_area",
];
const NOTES = {
  tractor: "Each at the fastest it holds 9 times in 10, unless your limits say otherwise, and the day it is done by 8 times in 10. Shaded: the tool's own range of speed. Touch one to see why.",
  implement: "Each as it is set, at the fastest it holds, and the day it is done by 8 times in 10. Touch one to see why.",
};
const ADD = { tractor: "Add my own tractor", implement: "Add my own tool" };
const SOON = 500;
const ALONE = "drawbar-own-alone";

let kind = "tractor";
let fetched = "";
let asked = null;
let axes = [];
let grid = null;
let laid = null;
let shown = [];
let inSight = false;
let first = true;

export function yardKind() {
  return kind;
}

export async function showYard(question) {
  asked = question;
  const { find, odds, speed, ...scenario } = question.body;
  const fleet = machines(scenario);
  const of = kind;
  const { [of]: mine, ...rest } = scenario;
  const key = JSON.stringify([system, kind, rest, fleet, choice(kind)]);
  if (key === fetched) return;
  try {
    const answer = await askAll(of, rest, fleet);
    if (answer === null || of !== kind) return;
    fetched = key;
    laid = { of, scenario, fleet };
    layLevers();
    show(Object.keys(fleet).map((name, place) => lane(name, place, answer.columns, mainTool(fleet[name])?.count ?? null)));
    // Once at the start as well, so that the sliders go on where the signal ends.
    if (inSight || first) setTimeout(fetchAhead, inSight ? 0 : SOON);
    first = false;
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    byId("yard").classList.add("unknown");
  }
}

// All machines in one batch. One that cannot be read, out of a farm file say, is left out and named.
async function askAll(of, rest, fleet) {
  byId("yard-left-out").textContent = "";
  for (;;) {
    const names = Object.keys(fleet);
    try {
      return await ask("yard", "v1/batch/match", {
        scenario: { ...rest, find: ["speed", "width", "depth"], fleets: fleetsOf(of, fleet) },
        vary: { [`/${of}`]: names.map((_, place) => String(place)) },
        columns: COLUMNS,
      });
    } catch (error) {
      const faulty = error instanceof Trouble ? new Set(error.faults.map(({ pointer }) => names[/fleets\/\w+\/(\d+)(?:\/|$)/.exec(pointer)?.[1]])) : new Set();
      faulty.delete(undefined);
      if (faulty.size === 0 || faulty.size === names.length) throw error;
      const words = error.faults.filter(({ pointer }) => /fleets\//.test(pointer)).map(({ detail }) => detail);
      byId("yard-left-out").textContent = `Not shown: ${[...faulty].map((name) => described(of, name).title).join(", ")} (${words[0]}).`;
      for (const name of faulty) delete fleet[name];
    }
  }
}

function fleetsOf(of, fleet) {
  return { [FLEETS[of]]: Object.fromEntries(Object.values(fleet).map((machine, place) => [String(place), machine])) };
}

// The machines that can be chosen, one's own and those of the example, and the one that is entered where it is none of them.
function machines(scenario) {
  const own = ownNames(kind).map(choiceOf);
  const now = choice(kind);
  byId("examples").hidden = own.length === 0;
  byId("examples").textContent = alone() ? "Show the examples" : "Hide the examples";
  const examples = own.length > 0 && alone() ? exampleNames(kind).filter((name) => name === now) : exampleNames(kind);
  const known = [...own, ...examples].map((name) => [name, bodyOf(kind, name)]);
  return Object.fromEntries(isExample(kind, now) || isMine(kind, now) ? known : [[now, scenario[kind]], ...known]);
}

// Whether one's own stand there without the examples, which this browser remembers.
function alone() {
  try {
    return localStorage.getItem(ALONE) !== null;
  } catch {
    return false;
  }
}

function turnExamples() {
  try {
    if (alone()) localStorage.removeItem(ALONE);
    else localStorage.setItem(ALONE, "");
  } catch {
    // Storage may be switched off; then there are no machines of one's own for long, either.
  }
  if (asked !== null) showYard(asked);
}

// The ground tool that a cure takes off from.
function mainTool(machine) {
  return (laid.of === "implement" ? machine : laid.scenario.implement)?.tools?.[0];
}

// ---- the day each would be done

// `question` is that of the window, at any pace.
export async function showFinish(question) {
  if (await learnFinish(question)) show(shown);
}

// ---- sliders that move all lanes

function layLevers() {
  axes = axesOf(laid.scenario, laid.of === "tractor");
  grid = null;
  delete byId("yard").dataset.grid;
  byId("levers").hidden = axes.length === 0;
  byId("levers").querySelectorAll(".lever").forEach((lever, place) => {
    lever.hidden = axes[place] === undefined;
    if (lever.hidden) return;
    const { name, values, at, words } = axes[place];
    const slider = byId(`lever-${place}`);
    Object.assign(slider, { min: 0, max: values.length - 1, step: 1, value: at });
    slider.setAttribute("aria-label", name);
    byId(`lever-${place}-name`).textContent = name;
    sayLever(place, words(values[at]));
  });
}

function sayLever(place, words) {
  byId(`lever-${place}`).setAttribute("aria-valuetext", words);
  byId(`lever-${place}-value`).textContent = words;
}

function leverPlaces() {
  return axes.map((_, place) => Number(byId(`lever-${place}`).value));
}

// The whole grid is fetched before a slider is moved, where it can be; from then on it goes on without the service.
function fetchAhead() {
  if (axes.length > 0 && grid === null) grid = fetchGrid();
}

async function pull() {
  const at = leverPlaces();
  axes.forEach(({ values, words }, place) => sayLever(place, words(values[at[place]])));
  const { fleet } = laid;
  fetchAhead();
  const columns = await grid;
  if (columns === null || laid.fleet !== fleet) return;
  const now = leverPlaces();
  const whole = axes.findIndex((axis) => axis.whole);
  const count = (name) => (whole < 0 ? (mainTool(fleet[name])?.count ?? null) : axes[whole].values[now[whole]]);
  show(Object.keys(fleet).map((name, place) => lane(name, rowAt(axes, place, now), columns, count(name))));
}

async function fetchGrid() {
  const { of, scenario, fleet } = laid;
  const { [of]: mine, ...rest } = scenario;
  const body = {
    scenario: { ...rest, find: ["speed", "width", "depth"], fleets: fleetsOf(of, fleet) },
    vary: varied(axes, `/${of}`, Object.keys(fleet).map((_, place) => String(place))),
    columns: COLUMNS,
  };
  try {
    const answer = await ask("grid", "v1/batch/match", body);
    if (answer !== null) byId("yard").dataset.grid = "ready";
    return answer?.columns ?? null;
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    grid = null;
    byId("yard-note").textContent = error.kind === "away" ? "The sliders need the service once; after that they go on without it." : error.message;
    return null;
  }
}

// ---- a lane

function lane(name, place, columns, count) {
  const of = (pointer) => columns[pointer].values[place];
  const quantity = (pointer) => (of(pointer) === null ? null : { value: of(pointer), unit: columns[pointer].unit });
  const [holds, goes, binding, stopper] = [quantity("/greatest/speed/holds"), quantity("/greatest/speed/value"), of("/verdict/binding"), of("/greatest/speed/limited_by")];
  // Slower than the tool works well, it may still go: that is no answer to which tractor to take.
  const word = of("/verdict/word");
  const state = word === "holds" && holds !== null ? "holds" : word === "close" && goes !== null ? "close" : "fails";
  // Where the range of the tool ends what goes, something else may end what holds.
  const earlier = stopper === "tool-speed" && holds !== null && holds.value < 0.995 * goes.value;
  return {
    name,
    count,
    state,
    holds,
    goes,
    stopper: earlier ? binding : stopper,
    binding,
    many: of("/greatest/width/holds_count"),
    width: quantity("/greatest/width/holds"),
    depth: quantity("/greatest/depth/holds"),
    area: quantity("/capacity/effective"),
    fuel: quantity("/fuel/per_area"),
  };
}

function rank({ state, area }) {
  return area.value - { holds: 0, close: 1e6, fails: 1e9 }[state];
}

function show(lanes) {
  if (lanes.length === 0) return;
  shown = lanes;
  const sorted = [...lanes].sort((a, b) => rank(b) - rank(a));
  const end = Math.max(scale().last * 0.7, ...sorted.map(({ goes }) => (goes?.value ?? 0) * 1.1));
  byId("yard").classList.remove("unknown");
  byId("yard-title").textContent = laid.of === "tractor" ? "Which tractor on this tool?" : "Which tool behind this tractor?";
  byId("yard-note").textContent = NOTES[laid.of];
  // Rendered anew, a lane keeps the focus it had.
  const focused = document.activeElement?.dataset?.lane;
  showScale(end);
  fill(byId("lanes"), ...sorted.map((one) => make("li", {}, row(one, end))));
  if (focused !== undefined) byId("lanes").querySelector(`[data-lane="${CSS.escape(focused)}"]`)?.focus();
}

// Numbers of the speed over the tracks.
function showScale(end) {
  const apart = end > 10 ? 5 : 2;
  const numbers = [];
  for (let at = 0; at <= end; at += apart) {
    const mark = make("span", {}, at === 0 ? `0 ${scale().unit}` : String(at));
    mark.style.left = `${(100 * at) / end}%`;
    numbers.push(mark);
  }
  fill(byId("lane-scale"), make("span", { class: "lane-numbers" }, ...numbers));
}

function row(one, end) {
  const button = make("button", { type: "button", class: `lane ${one.state}`, "data-lane": one.name });
  if (one.name === choice(laid.of)) button.setAttribute("aria-current", "true");
  const { title, what } = described(laid.of, one.name);
  button.append(
    make("span", { class: "lane-name" }, make("b", {}, title), make("span", { class: "note" }, what)),
    track(one, end),
    make("span", { class: "lane-says" }, says(one)),
    make("span", { class: "lane-figures" }, ...figures(one)),
  );
  return button;
}

// The machines stand on the track where it ends for them.
function track({ name, state, holds, goes }, end) {
  const box = make("span", { class: "lane-track", "aria-hidden": "true" });
  const { scenario, fleet } = laid;
  const picture = laid.of === "tractor" ? drawing(fleet[name], scenario.implement) : drawing(scenario.tractor, fleet[name]);
  const reach = state === "holds" ? holds.value : state === "close" ? goes.value : 0;
  if (picture !== null) {
    picture.style.setProperty("--reach", Math.min(reach / end, 1).toFixed(4));
    box.append(picture);
  }
  const way = make("span", { class: "way" });
  const band = laid.of === "tractor" ? toolRange() : null;
  const part = (class_, from, to) => {
    const element = make("span", { class: class_ });
    element.style.left = `${(100 * from) / end}%`;
    element.style.width = `${(100 * (Math.min(to, end) - from)) / end}%`;
    way.append(element);
  };
  if (band !== null) part("band", band[0], band[1]);
  if (state !== "fails") part("goes", 0, goes.value);
  if (state === "holds") part("sure", 0, holds.value);
  box.append(way);
  return box;
}

function says(one) {
  if (one.state === "holds") {
    return [make("b", {}, `Holds up to ${notAbove(one.holds)}`), `; beyond, ${STOPS[one.stopper]}.`];
  }
  if (one.state === "close") return [make("b", {}, `Close: may go ${notAbove(one.goes)}`), `, then ${STOPS[one.stopper]}. ${cure(one)}`];
  return [make("b", {}, `Fails: ${STOPS[one.binding]}.`), ` ${cure(one)}`];
}

// The smallest change that makes it hold.
function cure({ name, count, many, width, depth }) {
  if (many !== null && count !== null && many > 0 && many < count) {
    const off = count - many;
    return `Take off ${off} of ${count} ${manyOf(mainTool(laid.fleet[name])?.tool, count)} and it holds.`;
  }
  if (depth !== null) return `At most ${notAbove(depth)} deep it holds.`;
  if (width !== null) return `At most ${notAbove(width)} wide it holds.`;
  return "No one change makes it hold.";
}

function figures({ state, area, fuel }) {
  if (state === "fails") return [];
  const finish = finishAt(area.value);
  return [
    ...[area, fuel].filter((one) => one !== null).map((one) => make("span", {}, make("b", {}, rounded(one.value)), ` ${called(one.unit)}`)),
    finish === null ? null : make("span", { class: "done" }, ...whenDone(finish)),
  ];
}

function whenDone({ day, last }) {
  return day === null ? ["not by ", make("b", {}, dayInWords(last))] : ["done ", make("b", {}, dayInWords(day))];
}

// `picked` hears the kind and the name of a lane that was touched, and what the sliders were moved to.
export function watchYard(picked) {
  byId("levers").addEventListener("input", () => pull());
  byId("examples").addEventListener("click", turnExamples);
  byId("yard").addEventListener("click", (event) => {
    const name = event.target.closest("[data-lane]")?.dataset.lane;
    if (name !== undefined) picked(laid.of, name, setAt(axes, leverPlaces()));
    const other = event.target.closest("[data-yard]")?.dataset.yard;
    if (other === undefined || other === kind) return;
    kind = other;
    byId("describe-one").textContent = ADD[kind];
    for (const button of document.querySelectorAll("[data-yard]")) button.setAttribute("aria-pressed", String(button.dataset.yard === kind));
    if (asked !== null) showYard(asked);
  });
  new IntersectionObserver(([entry]) => {
    inSight = entry.isIntersecting;
    if (inSight && laid !== null) fetchAhead();
  }).observe(byId("yard"));
}
