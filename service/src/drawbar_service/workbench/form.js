// The controls: their values, their units, what shows when, and faults beside them.

import { byId, fill, make } from "./dom.js";
import { OWN } from "./state.js";
import { called, eachGear, inShownUnit, lists, plainNumber, rounded, setSystem, unitOf, withUnit } from "./units.js";

const KINDS = ["tractor", "implement", "field"];
const PARTS = {
  tractor: ["match/tractor/", "cost/machines/0/price", "cost/machines/0/remaining_value", "cost/machines/0/practice", "ballast/ballast_on/", "ballast/front_ballast_reach", "hydraulics/tractor/", "hitch/hitch/", "hitch/tires/front/", "hitch/tires/rear/", "hitch/road/tractor_length"],
  implement: ["match/implement/", "cost/machines/1/", "hydraulics/functions/", "hitch/machine/", "hitch/tires/machine/", "hitch/road/machine_length", "hitch/road/width"],
  field: ["match/soil/", "match/field/"],
};
const CHANGED = "changed";
const OWN_VALUE = "";
const MOST_TOOLS = 16;
const MOST_TOLD = 4;

export function controls() {
  return [...document.querySelectorAll("main [name]")];
}

export function control(name) {
  return document.querySelector(`main [name="${CSS.escape(name)}"]`);
}

// ---- values

// As given, with the unit it was given in, so that a change of units and back changes nothing.
function given(entry) {
  return entry.dataset.given ?? entry.value;
}

function shownIn(entry, text) {
  const { form, kind } = entry.dataset;
  if (form === "gears") return eachGear(text, (speed) => inShownUnit(speed, kind));
  return kind ? inShownUnit(plainNumber(text), kind) : text;
}

function give(entry, text) {
  entry.dataset.given = text;
  entry.value = shownIn(entry, text);
  // A count that nobody gives is the first one; every other choice is left open, to be asked for.
  if (entry.tagName === "SELECT" && (entry.value !== text || (text === "" && entry.dataset.form === "whole"))) entry.selectedIndex = 0;
}

// What is asked with: what stands in the control, which is what the person sees.
export function value(entry) {
  const { form, kind } = entry.dataset;
  if (form === "gears") return eachGear(entry.value, (speed) => withUnit(speed, kind));
  if (kind) return withUnit(plainNumber(entry.value), kind);
  return form === "whole" || form === "number" ? plainNumber(entry.value.trim()) : entry.value.trim();
}

export function counts(entry) {
  return entry.closest("[hidden]") === null && entry.value.trim() !== "";
}

// What is set in a control, as it is read: the words of a choice, a number with its unit.
function told(entry) {
  if (entry.tagName === "SELECT") return entry.selectedOptions[0].textContent;
  const unit = entry.dataset.kind ? called(unitOf(entry.dataset.kind)) : "";
  return /[a-z%]$/i.test(entry.value) || !unit ? entry.value : `${entry.value} ${unit}`;
}

function labelled(entry) {
  return `${labelOf(entry.name)}: ${told(entry)}`;
}

// What is set in the controls whose names begin with one of these, each with its label; for paper.
export function inWords(starts) {
  return controls()
    .filter((entry) => counts(entry) && starts.some((start) => entry.name.startsWith(start)))
    .map(labelled);
}

export function toolsInShort() {
  return rows().map(toolInShort);
}

// The line that stands for a closed group.
function inShort(details) {
  if (details.dataset.set === "implement") return toolsInShort().join(" + ") || "no ground tools";
  const words = details.dataset.words === "labelled" ? labelled : told;
  const set = [...details.querySelectorAll("[name]")].filter(counts).map(words);
  return set.slice(0, MOST_TOLD).join(" · ") || "none set";
}

function toolInShort(row) {
  const [tool, count, spacing, width, depth] = [...row.querySelectorAll("[name]")].map((entry) => (counts(entry) ? told(entry) : ""));
  const across = [count, spacing].filter((part) => part).join(" × ") || width;
  return [tool, across, depth && `${depth} deep`].filter((part) => part).join(", ");
}

// A machine of the farm, or the one that is entered, by name and in a few words.
export function described(kind, name) {
  const option = [...pick(kind).options].find((one) => one.value === name) ?? pick(kind).selectedOptions[0];
  const preset = lists.presets[kind][name];
  if (preset === undefined) return { title: titleOf(kind), what: inBrief(kind, (part) => wordsOf(control(part))) };
  return { title: option.textContent, what: inBrief(kind, (part) => presetWords(preset, part)) };
}

function titleOf(kind) {
  const own = control(`match/${kind}/name`)?.value.trim();
  return own || pick(kind).selectedOptions[0].textContent;
}

function wordsOf(entry) {
  return entry !== null && counts(entry) ? spokenShort(told(entry)) : "";
}

function presetWords(preset, name) {
  const text = preset[name];
  if (text === undefined) return "";
  const entry = control(name) ?? byId("tool-row").content.querySelector(`[name="${name.replace(/tools\/\d+/, "tools/N")}"]`);
  if (entry.tagName === "SELECT") return [...entry.querySelectorAll("option")].find((option) => option.value === text).textContent;
  const unit = entry.dataset.kind ? called(unitOf(entry.dataset.kind)) : "";
  return unit ? spokenShort(`${inShownUnit(text, entry.dataset.kind)} ${unit}`) : text;
}

// Three digits are as many as anybody says aloud.
function spokenShort(text) {
  return text.replace(/^\d+(?:\.\d+)?(?= )/, (number) => rounded(Number(number)));
}

const FIRST = "match/implement/tools/0";

function inBrief(kind, words) {
  const parts = {
    tractor: () => [words("match/tractor/power/rated_pto") || words("match/tractor/power/engine"), words("match/tractor/drive").toLowerCase()],
    implement: () => [
      words(`${FIRST}/tool`).split(",")[0] || words("match/implement/kind"),
      [words(`${FIRST}/count`), words(`${FIRST}/spacing`)].filter((part) => part).join(" × ") || words(`${FIRST}/width`) || words("match/implement/width"),
      words(`${FIRST}/depth`) && `${words(`${FIRST}/depth`)} deep`,
    ],
    field: () => [
      words("match/soil/texture").split(":")[0] && `${words("match/soil/texture").split(":")[0].toLowerCase()} soil`,
      words("match/soil/surface").split(":")[0].toLowerCase(),
      words("match/field/slope") && `${words("match/field/slope")} slope`,
    ],
  }[kind]();
  return parts.filter((part) => part).join(", ");
}

export function labelOf(name) {
  return control(name)?.closest(".control").querySelector("label").textContent ?? null;
}

// The label of a control whose name ends so, for what the service calls by a name of requests.
export function labelOfLast(last) {
  const entry = document.querySelector(`main [name$="/${CSS.escape(last)}"]`);
  return entry === null ? null : labelOf(entry.name);
}

// ---- what a name brings with it

// The length of a day belongs to whoever works it, not to the field.
const APART = "match/field/workday";

function partOf(name) {
  if (name === APART) return undefined;
  return KINDS.find((kind) => PARTS[kind].some((start) => name.startsWith(start)));
}

// What is chosen by name; empty for one's own and for one that was changed.
export function chosen() {
  return Object.fromEntries(KINDS.map((kind) => [kind, Object.hasOwn(lists.presets[kind], pick(kind).value) ? pick(kind).value : ""]));
}

function pick(kind) {
  return byId(`pick-${kind}`);
}

function bring(kind, name) {
  for (const option of pick(kind).querySelectorAll("[data-changed]")) option.remove();
  pick(kind).value = name;
  // One's own starts from nothing: figures of an example must not answer for it.
  const preset = lists.presets[kind][name] ?? {};
  if (kind === "implement") setTools(preset);
  for (const entry of controls().filter((one) => partOf(one.name) === kind)) give(entry, preset[entry.name] ?? "");
}

// A machine or field with a name is no longer it once a figure is changed, and says so.
function change(kind) {
  const name = pick(kind).value;
  if (!Object.hasOwn(lists.presets[kind], name)) return;
  pick(kind).append(make("option", { value: CHANGED, "data-changed": "" }, `${pick(kind).selectedOptions[0].textContent}, changed`));
  pick(kind).value = CHANGED;
}

// One's own stands in the list under the name it is given.
function nameOwn(kind) {
  const own = [...pick(kind).options].find((option) => option.value === OWN_VALUE);
  own.dataset.plain ??= own.textContent;
  const name = control(`match/${kind}/name`).value.trim();
  own.textContent = pick(kind).value === OWN_VALUE && name ? name : own.dataset.plain;
}

// Values that no choice by name explains: what a link must hold.
export function unexplained() {
  const picks = chosen();
  const found = controls().filter((entry) => {
    // What starts from today is another day tomorrow.
    if (entry.dataset.form === "date") return given(entry) !== "";
    const kind = partOf(entry.name);
    return kind !== undefined ? picks[kind] === "" && given(entry) !== "" : given(entry) !== (lists.start.values[entry.name] ?? "");
  });
  return Object.fromEntries(found.map((entry) => [entry.name, given(entry)]));
}

function atStart(entry) {
  const text = lists.start.values[entry.name] ?? "";
  if (entry.dataset.form !== "date" || text === "") return text;
  const day = new Date();
  day.setDate(day.getDate() + Number(text));
  return [day.getFullYear(), day.getMonth() + 1, day.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

export function restore(link) {
  for (const kind of KINDS) bring(kind, lists.start.chosen[kind]);
  for (const entry of controls().filter((one) => partOf(one.name) === undefined)) {
    give(entry, link.get(entry.name) ?? atStart(entry));
  }
  for (const kind of KINDS) {
    const own = Object.fromEntries([...link].filter(([name]) => partOf(name) === kind));
    if (Object.hasOwn(lists.presets[kind], link.get(kind))) bring(kind, link.get(kind));
    else if (Object.keys(own).length > 0 || link.get(kind) === OWN) {
      bring(kind, "");
      if (kind === "implement") setTools(own);
      for (const entry of controls().filter((one) => partOf(one.name) === kind)) give(entry, own[entry.name] ?? "");
    }
  }
  arrange();
}

// ---- ground tools

function rows() {
  return [...document.querySelectorAll("#tools fieldset")];
}

function setTools(preset) {
  byId("tools").replaceChildren();
  const places = Object.keys(preset).map((name) => /\/tools\/(\d+)\//.exec(name)?.[1]).filter((place) => place);
  const many = Math.min(Math.max(-1, ...places.map(Number)) + 1, MOST_TOOLS);
  for (let place = 0; place < many; place += 1) addRow();
}

function addRow() {
  const row = byId("tool-row").content.cloneNode(true);
  byId("tools").append(row);
  numberRows();
}

// Names, ids and what refers to them go by the place of a row.
function numberRows() {
  rows().forEach((row, place) => {
    for (const element of row.querySelectorAll("[id],[for],[name],[aria-describedby]")) {
      for (const key of ["id", "for", "name", "aria-describedby"]) {
        const text = element.getAttribute(key);
        if (text !== null) element.setAttribute(key, text.replace(/([/-])tools([/-])(?:N|\d+)([/-])/g, `$1tools$2${place}$3`));
      }
    }
    row.querySelector("legend").textContent = rows().length > 1 ? `Ground tool ${place + 1}` : "Ground tool";
  });
  byId("add-tool").disabled = rows().length >= MOST_TOOLS;
}

export function addTool() {
  addRow();
  change("implement");
  arrange();
  rows().at(-1).querySelector("select").focus();
}

export function removeTool(row) {
  row.remove();
  change("implement");
  numberRows();
  arrange();
  byId("add-tool").focus();
}

// ---- what shows

export function arrange() {
  for (const row of rows()) {
    const entry = (last) => row.querySelector(`[name$="/${last}"]`).closest(".control");
    const { by, depth } = lists.tools[row.querySelector("select").value];
    entry("count").hidden = entry("spacing").hidden = by === "m";
    entry("width").hidden = by !== "m";
    entry("depth").hidden = !depth;
  }
  const drive = control("match/tractor/drive").value;
  const unused = {
    "rubber-track": /^match\/tractor\/(wheelbase|front_share|tires)/,
    "four-track": /^match\/tractor\/tires/,
  }[drive];
  for (const entry of controls()) {
    if (/^match\/tractor\/(wheelbase|front_share|tires)/.test(entry.name)) {
      entry.closest(".control").hidden = unused?.test(entry.name) ?? false;
    }
  }
  const recorded = control("page/record").value !== "";
  for (const name of ["completion/suitable/mean", "page/bad_year"]) control(name).closest(".control").hidden = recorded;
  for (const unit of document.querySelectorAll("main .unit")) {
    const entry = unit.parentElement.querySelector("[data-kind]");
    unit.textContent = called(unitOf(entry.dataset.kind));
  }
  for (const kind of KINDS) {
    document.querySelector(`[data-what="${kind}"]`).textContent = inBrief(kind, (part) => wordsOf(control(part))) || "open below and fill in";
    nameOwn(kind);
  }
  for (const details of document.querySelectorAll("details[data-set]")) {
    details.querySelector(".set").textContent = inShort(details);
  }
  for (const button of document.querySelectorAll("button[data-units]")) {
    button.setAttribute("aria-pressed", String(button.dataset.units === document.body.dataset.units));
  }
}

// A speed from the ruler.
export function setSpeed(text) {
  const entry = control("match/speed");
  entry.value = text;
  edited(entry);
}

export function choose(kind, name) {
  pick(kind).value = name;
  edited(pick(kind));
}

export function changeUnits(chosenSystem, remember) {
  setSystem(chosenSystem, remember);
  document.body.dataset.units = chosenSystem;
  for (const entry of controls().filter((one) => one.dataset.kind)) give(entry, given(entry));
  arrange();
}

// A person has typed or chosen.
export function edited(entry) {
  if (entry.dataset.pick !== undefined) {
    bring(entry.dataset.pick, entry.value);
    if (entry.value === "") document.querySelector(`details[data-set="${entry.dataset.pick}"]`).open = true;
  } else if (entry.name) {
    entry.dataset.given = value(entry);
    if (entry.dataset.instead && entry.value.trim()) give(control(entry.dataset.instead), "");
    const kind = partOf(entry.name);
    if (kind !== undefined) change(kind);
  }
  arrange();
}

// Typing is done: what was typed in another unit is shown in this one.
export function settled(entry) {
  if (entry.tagName !== "SELECT" && entry.dataset.form !== "date") give(entry, given(entry));
}

// What was taken for a control that is empty stands in it faintly.
export function showTaken(calculation, assumptions) {
  for (const entry of controls()) {
    if (!entry.name.startsWith(`${calculation}/`) || !("placeholder" in entry)) continue;
    const found = assumptions.find((one) => `${calculation}${one.pointer}` === entry.name);
    entry.placeholder = found ? taken(entry, found.value) : "";
  }
}

function taken(entry, text) {
  return entry.dataset.kind ? inShownUnit(text.replace(/ ?money$/, ""), entry.dataset.kind) : text;
}

// ---- faults

// Tell each fault beside the control it is about; return those that are about none.
export function showFaults(calculation, faults, nameOf) {
  for (const entry of controls()) {
    if (entry.dataset.faulty === calculation) clearFault(entry);
  }
  const placed = faults.map((fault) => ({ ...fault, entry: nearest(nameOf(fault.pointer)) }));
  for (const { entry, detail } of placed.filter((fault) => fault.entry !== null)) {
    const place = byId(`${entry.id}-fault`);
    entry.setAttribute("aria-invalid", "true");
    entry.dataset.faulty = calculation;
    place.textContent = place.hidden ? detail : `${place.textContent}; ${detail}`;
    place.hidden = false;
    const group = entry.closest("details");
    if (group !== null) group.open = true;
  }
  return placed;
}

function clearFault(entry) {
  const place = byId(`${entry.id}-fault`);
  entry.removeAttribute("aria-invalid");
  delete entry.dataset.faulty;
  place.textContent = "";
  place.hidden = true;
}

// The control of this name, or the first within or about what it names.
function nearest(name) {
  const shown = controls().filter((entry) => entry.closest("[hidden]") === null);
  for (let path = name; path.includes("/"); path = path.slice(0, path.lastIndexOf("/"))) {
    const found = shown.find((entry) => entry.name === path) ?? shown.find((entry) => entry.name.startsWith(`${path}/`));
    if (found) return found;
  }
  return null;
}

export function listFaults(placed) {
  const trouble = byId("trouble");
  trouble.hidden = placed.length === 0;
  trouble.classList.remove("stays");
  if (placed.length === 0) return fill(trouble);
  const items = placed.map(({ entry, detail }) => {
    if (entry === null) return make("li", {}, detail);
    const label = entry.closest(".control").querySelector("label").textContent;
    return make("li", {}, make("a", { href: `#${entry.id}`, "data-goto": entry.id }, label), `: ${detail}`);
  });
  const many = placed.length > 1 ? `${placed.length} things` : "One thing";
  return fill(trouble, make("p", {}, `${many} to put right:`), make("ul", {}, ...items));
}
