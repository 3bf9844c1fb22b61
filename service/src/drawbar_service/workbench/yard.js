// The yard: a lane for each tractor on this tool, or for each tool behind this tractor, best first, from one batch.

import { ask, Trouble } from "./ask.js";
import { byId, fill, make } from "./dom.js";
import { chosen, described } from "./form.js";
import { axesOf, rowAt, varied } from "./grid.js";
import { LIMITS, STOPS } from "./limits.js";
import { nested } from "./request.js";
import { scale, toolRange } from "./ruler.js";
import { called, lists, notAbove, rounded, system } from "./units.js";

const OWN = "";
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
  tractor: "Each at the fastest it holds 9 times in 10, unless your limits say otherwise. Touch one to see why.",
  implement: "Each as it is set on the farm, at the fastest it holds. Touch one to see why.",
};

let kind = "tractor";
let fetched = "";
let asked = null;
let axes = null;
let grid = null;
let laid = null;

export async function showYard(question) {
  asked = question;
  const { find, odds, speed, ...scenario } = question.body;
  const fleet = machines(scenario);
  const { [kind]: mine, ...rest } = scenario;
  const key = JSON.stringify([system, kind, rest, fleet, chosen()[kind]]);
  if (key === fetched) return;
  const names = Object.keys(fleet);
  const places = names.map((_, place) => String(place));
  const body = {
    scenario: {
      ...rest,
      find: ["speed", "width", "depth"],
      fleets: { [FLEETS[kind]]: Object.fromEntries(names.map((name, place) => [String(place), fleet[name]])) },
    },
    vary: { [`/${kind}`]: places },
    columns: COLUMNS,
  };
  try {
    const answer = await ask("yard", "v1/batch/match", body);
    if (answer === null) return;
    fetched = key;
    show(names.map((name, place) => lane(name, place, answer.columns, countOf(fleet[name]))));
    layLevers(scenario, fleet);
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    byId("yard").classList.add("unknown");
  }
}

// The machines of the farm, and the one that is entered where it is none of them.
function machines(scenario) {
  const farm = Object.entries(lists.presets[kind]).map(([name, values]) => [name, nested(values, `match/${kind}/`)]);
  return Object.fromEntries(chosen()[kind] === OWN ? [[OWN, scenario[kind]], ...farm] : farm);
}

// How many tools the cure takes off from.
function countOf(machine) {
  return machine.tools?.[0]?.count ?? asked.body.implement?.tools?.[0]?.count ?? null;
}

// ---- three sliders that move all lanes

function layLevers(scenario, fleet) {
  axes = kind === "tractor" ? axesOf(scenario) : null;
  grid = null;
  byId("levers").hidden = axes === null;
  if (axes === null) return;
  axes.forEach(({ name, values, at, words }, place) => {
    const slider = byId(`lever-${place}`);
    Object.assign(slider, { min: 0, max: values.length - 1, step: 1, value: at });
    slider.setAttribute("aria-label", name);
    byId(`lever-${place}-name`).textContent = name;
    sayLever(place, words(values[at]));
  });
  laid = { scenario, fleet };
}

function sayLever(place, words) {
  byId(`lever-${place}`).setAttribute("aria-valuetext", words);
  byId(`lever-${place}-value`).textContent = words;
}

// The whole grid is fetched when a slider is first moved; from then on it goes on without the service.
async function pull() {
  const at = axes.map((_, place) => Number(byId(`lever-${place}`).value));
  axes.forEach(({ values, words }, place) => sayLever(place, words(values[at[place]])));
  const { scenario, fleet } = laid;
  const names = Object.keys(fleet);
  grid ??= fetchGrid(scenario, fleet, names);
  const columns = await grid;
  if (columns === null || laid.fleet !== fleet) return;
  const now = axes.map((_, place) => Number(byId(`lever-${place}`).value));
  show(names.map((name, place) => lane(name, rowAt(axes, place, now), columns, axes[1].values[now[1]])));
}

async function fetchGrid(scenario, fleet, names) {
  const { [kind]: mine, ...rest } = scenario;
  const fleets = { [FLEETS[kind]]: Object.fromEntries(names.map((name, place) => [String(place), fleet[name]])) };
  const body = {
    scenario: { ...rest, find: ["speed", "width", "depth"], fleets },
    vary: varied(axes, scenario, `/${kind}`, names.map((_, place) => String(place))),
    columns: COLUMNS,
  };
  try {
    return (await ask("grid", "v1/batch/match", body))?.columns ?? null;
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    grid = null;
    byId("yard-note").textContent = error.message;
    return null;
  }
}

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
  const sorted = lanes.sort((a, b) => rank(b) - rank(a));
  const end = Math.max(scale().last * 0.7, ...sorted.map(({ goes }) => (goes?.value ?? 0) * 1.1));
  byId("yard").classList.remove("unknown");
  byId("yard-title").textContent = kind === "tractor" ? "Which tractor on this tool?" : "Which tool behind this tractor?";
  byId("yard-note").textContent = NOTES[kind];
  fill(byId("lanes"), ...sorted.map((one) => make("li", {}, row(one, end))));
}

function row(one, end) {
  const button = make("button", { type: "button", class: `lane ${one.state}`, "data-lane": one.name });
  if (one.name === chosen()[kind]) button.setAttribute("aria-current", "true");
  const { title, what } = described(kind, one.name);
  button.append(
    make("span", { class: "lane-name" }, make("b", {}, title), make("span", { class: "note" }, what)),
    track(one, end),
    make("span", { class: "lane-says" }, says(one)),
    make("span", { class: "lane-figures" }, ...figures(one)),
  );
  return button;
}

function track({ state, holds, goes }, end) {
  const box = make("span", { class: "lane-track", "aria-hidden": "true" });
  const band = kind === "tractor" ? toolRange() : null;
  const part = (class_, from, to) => {
    const element = make("span", { class: class_ });
    element.style.left = `${(100 * from) / end}%`;
    element.style.width = `${(100 * (Math.min(to, end) - from)) / end}%`;
    box.append(element);
  };
  if (band !== null) part("band", band[0], band[1]);
  if (state !== "fails") part("goes", 0, goes.value);
  if (state === "holds") part("sure", 0, holds.value);
  return box;
}

function says(one) {
  if (one.state === "holds") {
    return [make("b", {}, `Holds up to ${notAbove(one.holds)}`), `; beyond, ${STOPS[one.stopper]}.`];
  }
  if (one.state === "close") return [make("b", {}, `Close: may go ${notAbove(one.goes)}`), `, then ${STOPS[one.stopper]}. ${cure(one)}`];
  return [make("b", {}, `Fails: ${LIMITS[one.binding]}.`), ` ${cure(one)}`];
}

// The smallest change that makes it hold.
function cure({ count, many, width, depth }) {
  if (many !== null && count !== null && many > 0 && many < count) {
    const off = count - many;
    return `Take off ${off} of ${count} tools and it holds.`;
  }
  if (depth !== null) return `At most ${notAbove(depth)} deep it holds.`;
  if (width !== null) return `At most ${notAbove(width)} wide it holds.`;
  return "No one change makes it hold.";
}

function figures({ state, area, fuel }) {
  if (state === "fails") return [];
  return [area, fuel].filter((one) => one !== null).map((one) => make("span", {}, make("b", {}, rounded(one.value)), ` ${called(one.unit)}`));
}

// `picked` hears the kind and the name of a lane that was touched.
export function watchYard(picked) {
  byId("levers").addEventListener("input", () => pull());
  byId("yard").addEventListener("click", (event) => {
    const name = event.target.closest("[data-lane]")?.dataset.lane;
    if (name !== undefined) picked(kind, name);
    const other = event.target.closest("[data-yard]")?.dataset.yard;
    if (other === undefined || other === kind) return;
    kind = other;
    for (const button of document.querySelectorAll("[data-yard]")) button.setAttribute("aria-pressed", String(button.dataset.yard === kind));
    if (asked !== null) showYard(asked);
  });
}
