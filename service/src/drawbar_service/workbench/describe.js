// A dialog that describes a machine of one's own in a few facts, from its plate and sidewall; what is usual for its build
// fills the rest and is said.

import { byId, fill, make, say } from "./dom.js";
import { control } from "./form.js";
import { choiceOf, freeName, keepOwn } from "./machines.js";
import { called, inShownUnit, lists, plainNumber, rounded, system, unitOf, withUnit } from "./units.js";

const LARGE = 112; // kW, where the table of remaining values divides tractors
const TITLES = { tractor: "Your tractor", implement: "Your tool", field: "Your field" };
const LEADS = {
  tractor: "From its plate and the sidewall of its tires. It stays in this browser.",
  implement: "Pick the build that is nearest. It stays in this browser.",
  field: "What the wheels stand on decides most. It stays in this browser.",
};

let describing = "tractor";
let done = () => {};

function builds() {
  return lists.builds[describing];
}

function build() {
  return builds()[Number(byId("describe-build").value)];
}

// ---- what is asked

function fact(id, label, entry, { unit = "", hint = "" } = {}) {
  entry.id = `describe-${id}`;
  const parts = [make("label", { for: entry.id }, label), make("span", { class: "entry" }, entry, unit ? make("span", { class: "unit" }, unit) : null)];
  if (hint) {
    entry.setAttribute("aria-describedby", `${entry.id}-hint`);
    parts.push(make("span", { class: "hint", id: `${entry.id}-hint` }, hint));
  }
  return make("div", { class: "control", id: `${entry.id}-fact` }, ...parts);
}

function number(id, label, kind, { hint = "", needed = true, value = "" } = {}) {
  const entry = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", value, ...(kind ? { "data-kind": kind } : { "data-form": "whole" }), ...(needed ? { required: "" } : {}) });
  return fact(id, label, entry, { unit: kind ? called(unitOf(kind)) : "", hint });
}

function text(id, label, { hint = "", needed = false } = {}) {
  return fact(id, label, make("input", { type: "text", autocomplete: "off", maxlength: "40", ...(needed ? { required: "" } : {}) }), { hint });
}

function choiceOfBuild(words) {
  const select = make("select", {});
  const groups = new Map();
  builds().forEach((one, place) => {
    const option = make("option", { value: String(place) }, one.words);
    if (!one.group) return select.append(option);
    if (!groups.has(one.group)) groups.set(one.group, make("optgroup", { label: one.group }));
    return groups.get(one.group).append(option);
  });
  select.append(...groups.values());
  const shown = fact("build", words, select);
  shown.classList.add("wide");
  return shown;
}

const FACTS = {
  tractor: () => [
    choiceOfBuild("Build"),
    number("power", "Rated power", "RatedPower"),
    fact("power-of", "Of the", make("select", {}, make("option", { value: "engine" }, "engine"), make("option", { value: "rated_pto" }, "PTO"))),
    number("mass", "Ballasted", "TractorMass"),
    text("rear", "Rear tires", { hint: "As on the sidewall, like 620/70R42.", needed: true }),
    text("front", "Front tires", { needed: true }),
    text("name", "Call it", { hint: "If you like." }),
  ],
  implement: () => [
    choiceOfBuild("Build"),
    number("count", "How many", null),
    number("spacing", "Spacing", "Spacing"),
    number("width", "Width", "Width"),
    number("depth", "Depth", "Depth"),
    text("name", "Call it", { hint: "If you like." }),
  ],
  field: () => [
    fact("texture", "Soil", options("match/soil/texture")),
    fact("surface", "Under the wheels", options("match/soil/surface")),
    number("area", "Area", "Area", { needed: false }),
    number("slope", "Slope along the passes", "Slope", { needed: false, value: "0" }),
    text("name", "Call it", { hint: "If you like." }),
  ],
};

function options(name) {
  const all = [...control(name).options].filter((option) => option.value).map((option) => make("option", { value: option.value }, option.textContent));
  return make("select", {}, ...all);
}

// What shows, and what stands there already, goes by the build.
const ARRANGE = {
  tractor() {
    const { drive, wheelbase } = build();
    const tracks = drive === "rubber-track" || drive === "four-track";
    ask("rear", !tracks);
    ask("front", !tracks && drive !== "four-wheel");
    byId("describe-rear-fact").querySelector("label").textContent = drive === "four-wheel" ? "Tires" : "Rear tires";
    return wheelbase ? [`${wheelbase[system]} from front to rear axle, where a tenth more or less hardly matters`, "the usual share of the weight in front"] : [];
  },
  implement() {
    const [main, ...others] = build().tools;
    const { by, depth, called: names } = lists.tools[main.tool];
    ask("count", by !== "m");
    ask("spacing", by !== "m");
    ask("width", by === "m");
    ask("depth", depth);
    byId("describe-count-fact").querySelector("label").textContent = `How many ${names[1]}`;
    for (const part of ["spacing", "depth"]) {
      const kind = byId(`describe-${part}`).dataset.kind;
      byId(`describe-${part}`).value = main[part] ? inShownUnit(main[part][system], kind) : "";
    }
    return others.map((other) => [lists.tools[other.tool].words, other.spacing && `every ${other.spacing[system]}`, other.depth && `${other.depth[system]} deep`].filter((part) => part).join(", "));
  },
  field: () => [],
};

function ask(id, asked) {
  byId(`describe-${id}-fact`).hidden = !asked;
  byId(`describe-${id}`).required = asked;
}

function arrange() {
  const taken = ARRANGE[describing]();
  byId("describe-taken").textContent = taken.length > 0 ? `Taken with it, as is usual for the build (from memory): ${taken.join("; ")}. Change that under “The ${describing === "tractor" ? "tractor" : "tool"}” if you know better.` : "";
}

// ---- what comes of it

function given(id) {
  const entry = byId(`describe-${id}`);
  return entry.dataset.kind ? withUnit(plainNumber(entry.value), entry.dataset.kind) : entry.value.trim();
}

function shown(id) {
  return !byId(`describe-${id}-fact`).hidden;
}

const VALUES = {
  tractor() {
    const { drive, wheelbase, front_count: front = 2, rear_count: rear = 2 } = build();
    const large = Number(inShownUnit(given("power"), "RatedPower")) * (lists.units.power[unitOf("RatedPower")] / lists.units.power.kW) > LARGE;
    const start = "match/tractor";
    const values = {
      [`${start}/drive`]: drive,
      [`${start}/power/${given("power-of")}`]: given("power"),
      [`${start}/mass`]: given("mass"),
      "cost/machines/0/remaining_value": large ? "tractor.over-112-kw" : "tractor.60-112-kw",
      "cost/machines/0/practice": drive === "two-wheel" ? "tractor.two-wheel" : "tractor.four-wheel",
    };
    if (wheelbase) values[`${start}/wheelbase`] = wheelbase[system];
    if (shown("rear")) {
      values[`${start}/tires/rear/size`] = given("rear");
      values[`${start}/tires/rear/count`] = String(rear);
      values[`${start}/tires/front/size`] = shown("front") ? given("front") : given("rear");
      values[`${start}/tires/front/count`] = String(front);
    }
    return [values, "My tractor"];
  },
  implement() {
    const { tools, hitch, words } = build();
    const values = { "match/implement/hitch": hitch };
    const count = Number(plainNumber(given("count")));
    const across = shown("count") ? `${rounded(count * Number.parseFloat(inShownUnit(given("spacing"), "Spacing")), 6)} ${unitOf("Spacing")}` : given("width");
    tools.forEach((row, place) => {
      const start = `match/implement/tools/${place}`;
      const main = place === 0;
      values[`${start}/tool`] = row.tool;
      if (lists.tools[row.tool].by === "m") values[`${start}/width`] = `${inShownUnit(across, "Width")} ${unitOf("Width")}`;
      else {
        values[`${start}/spacing`] = main ? given("spacing") : row.spacing[system];
        values[`${start}/count`] = main ? plainNumber(given("count")) : String(Math.round(spaced(across) / spaced(row.spacing[system])));
      }
      if (lists.tools[row.tool].depth) values[`${start}/depth`] = main ? given("depth") : row.depth[system];
    });
    const { practice, called: names, by } = lists.tools[tools[0].tool];
    values["cost/machines/1/remaining_value"] = "tillage";
    if (practice) values["cost/machines/1/practice"] = practice;
    return [values, `${words}, ${by === "m" ? given("width") : `${given("count")} ${names[1]}`}`];
  },
  field() {
    const values = { "match/soil/texture": given("texture"), "match/soil/surface": given("surface") };
    for (const part of ["area", "slope"]) if (given(part) !== "") values[`match/field/${part}`] = given(part);
    return [values, "My field"];
  },
};

function spaced(length) {
  return Number.parseFloat(inShownUnit(length, "Spacing"));
}

function finish() {
  const [values, usual] = VALUES[describing]();
  const name = freeName(describing, byId("describe-name").value.trim() || usual);
  const kept = keepOwn(describing, name, values);
  say(kept ? `${name} is kept in this browser.` : `${name} lasts as long as this page: this browser keeps nothing.`);
  byId("describe").close();
  done(describing, choiceOf(name));
}

// `named` hears the kind and the choice that was made.
export function watchDescribe(named) {
  done = named;
  byId("describe-form").addEventListener("submit", (event) => {
    event.preventDefault();
    finish();
  });
  byId("describe-form").addEventListener("change", (event) => {
    if (event.target.id === "describe-build") arrange();
  });
  byId("describe-cancel").addEventListener("click", () => byId("describe").close());
}

export function openDescribe(kind) {
  describing = kind;
  byId("describe-title").textContent = TITLES[kind];
  byId("describe-lead").textContent = LEADS[kind];
  fill(byId("describe-facts"), ...FACTS[kind]());
  arrange();
  byId("describe").showModal();
}
