// The controls: their values, their units, what shows when, and faults beside them.

import { byId, fill, make } from "./dom.js";
import { KINDS, changesKept, choiceOf, counterpart, exampleNames, farmInUse, farmOf, freeName, isExample, isMine, nameOf, ownNames, place, start, useFarm, valuesOf } from "./machines.js";
import { OWN } from "./state.js";
import { called, eachGear, inShownUnit, lists, plainNumber, rounded, setSystem, system, unitOf, withUnit } from "./units.js";
import { plainly } from "./words.js";

const PARTS = {
  tractor: ["match/tractor/", "cost/machines/0/price", "cost/machines/0/remaining_value", "cost/machines/0/practice", "ballast/ballast_on/", "ballast/front_ballast_reach", "hydraulics/tractor/", "hitch/hitch/", "hitch/tires/front/", "hitch/tires/rear/", "hitch/road/tractor_length"],
  implement: ["match/implement/", "cost/machines/1/", "hydraulics/functions/", "hitch/machine/", "hitch/tires/machine/", "hitch/road/machine_length", "hitch/road/width"],
  field: ["match/soil/", "match/field/"],
};
const CHANGED = "changed";
const OWN_VALUE = "";
const MY_OWN = { tractor: "My own tractor", implement: "My own tool", field: "My own field" };
const DESCRIBE = { tractor: "Describe my own tractor\u2026", implement: "Describe my own tool\u2026", field: "Describe my own field\u2026" };
const BARE = /^[+-]?(\d+\.?\d*|\.\d+)$/;
const MOST_TOOLS = 16;
const MOST_TOLD = 4;
// Says nothing by itself.
const UNSAID = /\/(name|front_share|wheelbase|count|front\/size)$/;

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
  return /[a-z%]$/i.test(entry.value) || !unit ? entry.value : `${grouped(entry.value)} ${unit}`;
}

// Five digits and more are read in threes.
function grouped(text) {
  return /^\d{5,}$/.test(text) ? Number(text).toLocaleString("en") : text;
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
  const set = [...details.querySelectorAll("[name]")].filter((entry) => counts(entry) && !UNSAID.test(entry.name)).map(words);
  return set.slice(0, MOST_TOLD).join(" · ") || "none set";
}

function toolInShort(row) {
  const [tool, count, spacing, width, depth] = [...row.querySelectorAll("[name]")].map((entry) => (counts(entry) ? told(entry) : ""));
  const across = [count, spacing].filter((part) => part).join(" × ") || width;
  return [tool, across, depth && `${depth} deep`].filter((part) => part).join(", ");
}

// A machine that can be chosen, or the one that is entered, by name and in a few words.
export function described(kind, choice) {
  if (!isExample(kind, choice) && !isMine(kind, choice)) return { title: titleOf(kind), what: inBrief(kind, (part) => wordsOf(control(part))) };
  const values = valuesOf(kind, choice);
  return { title: nameOf(choice), what: inBrief(kind, (part) => presetWords(values, part)) };
}

export function titleOf(kind) {
  const choice = pick(kind).value;
  if (isExample(kind, choice) || isMine(kind, choice)) return nameOf(choice);
  const own = control(`match/${kind}/name`)?.value.trim();
  if (choice === CHANGED) return `${own || pick(kind).selectedOptions[0].dataset.title}, changed`;
  return own || MY_OWN[kind];
}

function wordsOf(entry) {
  return entry !== null && counts(entry) ? spokenShort(told(entry)) : "";
}

function presetWords(values, name) {
  const text = values[name];
  if (text === undefined || text === "") return "";
  const entry = control(name) ?? byId("tool-row").content.querySelector(`[name="${name.replace(/tools\/\d+/, "tools/N")}"]`);
  if (entry.tagName === "SELECT") return [...entry.querySelectorAll("option")].find((option) => option.value === text)?.textContent ?? "";
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
      words(`${FIRST}/tool`).split(",")[0] || words("match/implement/practice"),
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

// The first of the ground tools, which the rest goes by.
export function mainTool() {
  return control(`${FIRST}/tool`)?.value;
}

// What a value is called in the list of a control; null where there is none.
export function choiceWords(name, text) {
  const entry = control(name);
  return entry?.tagName === "SELECT" ? ([...entry.options].find((option) => option.value === text)?.textContent ?? null) : null;
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

// What is chosen of the example farm; empty for one's own and for what was changed.
export function chosen() {
  return Object.fromEntries(KINDS.map((kind) => [kind, isExample(kind, pick(kind).value) ? pick(kind).value : ""]));
}

// What was chosen before the choice that is being made.
export function choiceBefore(kind) {
  return pick(kind).dataset.before;
}

export function firstChoice(kind) {
  return start().chosen[kind];
}

// A changed one of one's own keeps its name; a changed example takes a free one.
export function nameToKeep(kind) {
  const given = control(`match/${kind}/name`).value.trim();
  return given || freeName(kind, `My ${pick(kind).selectedOptions[0].dataset.title ?? { tractor: "tractor", implement: "tool", field: "field" }[kind]}`);
}

// What is chosen by name, of the example farm or one's own.
export function choice(kind) {
  return pick(kind).value;
}

function pick(kind) {
  return byId(`pick-${kind}`);
}

const extras = { tractor: {}, implement: {}, field: {} };

// Values of a farm file that no control shows: they are asked with all the same.
export function unshown() {
  return Object.assign({}, ...Object.values(extras));
}

function bring(kind, name) {
  for (const option of pick(kind).querySelectorAll("[data-changed]")) option.remove();
  listChoices(kind);
  pick(kind).value = name;
  // One's own starts from nothing: figures of an example must not answer for it.
  fillIn(kind, valuesOf(kind, name));
}

function fillIn(kind, values) {
  if (kind === "implement") setTools(values);
  const entries = controls().filter((one) => partOf(one.name) === kind);
  for (const entry of entries) give(entry, asGiven(entry, values[entry.name] ?? ""));
  const shown = new Set(controls().map((entry) => entry.name));
  extras[kind] = Object.fromEntries(Object.entries(values).filter(([name]) => name.startsWith("match/") && !shown.has(name)));
}

// A farm file may say 0.41 for 41 %.
function asGiven({ dataset: { kind } }, text) {
  return kind && unitOf(kind) === "%" && BARE.test(text) ? `${rounded(100 * Number(text), 6)} %` : text;
}

// A machine or field with a name is no longer it once a figure is changed, and says so.
function change(kind) {
  const { value: name } = pick(kind);
  if (!isExample(kind, name) && !isMine(kind, name)) return;
  pick(kind).prepend(make("option", { value: CHANGED, "data-changed": "", "data-title": nameOf(name) }, `${nameOf(name)}, changed`));
  pick(kind).value = CHANGED;
}

const listed = {};

// The choices by name: one's own first, then the example farm, each with what it is in the units that are shown.
function listChoices(kind) {
  // A thumb on a ruler must not wait for lists that are as they were.
  const key = [system, farmInUse(), changesKept()].join();
  if (listed[kind] === key) return;
  listed[kind] = key;
  const now = pick(kind).value;
  const changed = pick(kind).querySelector("[data-changed]");
  const option = (value) => {
    const { title, what } = described(kind, value);
    return make("option", { value }, [title, what].filter((part) => part).join(", "));
  };
  const own = ownNames(kind).map((name) => option(choiceOf(name)));
  const examples = exampleNames(kind).map(option);
  fill(
    pick(kind),
    changed,
    own.length > 0 ? make("optgroup", { label: "Yours, kept in this browser" }, ...own) : null,
    make("optgroup", { label: `${place()}, an invented farm` }, ...examples),
    make("option", { value: OWN_VALUE }, DESCRIBE[kind]),
  );
  pick(kind).value = now;
}

// Values that no choice by name explains: what a link must hold.
export function unexplained() {
  const picks = chosen();
  const found = controls().filter((entry) => {
    // What starts from today is another day tomorrow.
    if (entry.dataset.form === "date") return given(entry) !== "";
    const kind = partOf(entry.name);
    return kind !== undefined ? picks[kind] === "" && given(entry) !== "" : given(entry) !== (start().values[entry.name] ?? "");
  });
  const more = KINDS.filter((kind) => picks[kind] === "").map((kind) => extras[kind]);
  return Object.assign(Object.fromEntries(found.map((entry) => [entry.name, given(entry)])), ...more);
}

// Whether anything on the page is not the example's.
function untouched() {
  if (KINDS.some((kind) => chosen()[kind] === "")) return false;
  return Object.keys(unexplained()).every((name) => control(name)?.dataset.form === "date" && given(control(name)) === atStart(control(name)));
}

function atStart(entry) {
  const text = start().values[entry.name] ?? "";
  if (entry.dataset.form !== "date" || text === "") return text;
  const day = new Date();
  day.setDate(day.getDate() + Number(text));
  return [day.getFullYear(), day.getMonth() + 1, day.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

export function restore(link) {
  useFarm(link.get("farm") ?? farmOf((kind) => link.get(kind) ?? "") ?? (link.has("tractor") ? "metric" : document.body.dataset.units));
  for (const kind of KINDS) bring(kind, start().chosen[kind]);
  for (const entry of controls().filter((one) => partOf(one.name) === undefined)) {
    give(entry, link.get(entry.name) ?? atStart(entry));
  }
  for (const kind of KINDS) {
    const own = Object.fromEntries([...link].filter(([name]) => partOf(name) === kind));
    if (isExample(kind, link.get(kind) ?? "")) bring(kind, link.get(kind));
    else if (Object.keys(own).length > 0 || link.get(kind) === OWN) bringLinked(kind, own);
  }
  arrange();
}

// One's own out of a link: what is kept under its name, where that is the same, else what the link holds.
function bringLinked(kind, values) {
  const mine = choiceOf(values[`match/${kind}/name`] ?? "");
  if (isMine(kind, mine)) {
    bring(kind, mine);
    const now = ownValues(kind);
    const names = new Set([...Object.keys(now), ...Object.keys(values)]);
    if ([...names].every((name) => (now[name] ?? "") === (values[name] ?? ""))) return;
  }
  bring(kind, OWN_VALUE);
  fillIn(kind, values);
}

// The values of what is entered for a kind, as they were given.
export function ownValues(kind) {
  const entries = controls().filter((entry) => partOf(entry.name) === kind && given(entry) !== "" && counts(entry));
  return { ...Object.fromEntries(entries.map((entry) => [entry.name, given(entry)])), ...extras[kind] };
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
    const words = called(unitOf(entry.dataset.kind));
    if (unit.textContent !== words) unit.textContent = words;
  }
  for (const kind of KINDS) {
    document.querySelector(`[data-named="${kind}"]`).textContent = titleOf(kind);
    document.querySelector(`[data-what="${kind}"]`).textContent = inBrief(kind, (part) => wordsOf(control(part))) || "open below and fill in";
    listChoices(kind);
    pick(kind).dataset.before = pick(kind).value;
  }
  byId("place").textContent = place();
  for (const kind of KINDS) {
    const [keep, forgets] = ["keep", "forget"].map((what) => document.querySelector(`[data-${what}="${kind}"]`));
    const now = pick(kind).value;
    keep.hidden = isExample(kind, now) || isMine(kind, now);
    forgets.hidden = !isMine(kind, now);
  }
  for (const details of document.querySelectorAll("details[data-set]")) {
    details.querySelector(".set").textContent = inShort(details);
  }
  for (const button of document.querySelectorAll("button[data-units]")) {
    button.setAttribute("aria-pressed", String(button.dataset.units === document.body.dataset.units));
  }
}

// Values from a ruler: each place in a match with its text.
export function setFromRuler(values) {
  for (const [pointer, text] of Object.entries(values)) {
    const entry = control(`match${pointer}`);
    give(entry, entry.dataset.kind ? withUnit(text, entry.dataset.kind) : text);
    const kind = partOf(entry.name);
    if (kind !== undefined) change(kind);
  }
  arrange();
}

export function choose(kind, name) {
  bring(kind, name);
  arrange();
}

// Each system of units has an example farm that is round in it. One's own entries are converted instead, all of them.
export function changeUnits(chosenSystem, remember) {
  const changes = remember && farmInUse() !== chosenSystem && untouched();
  const picks = changes ? KINDS.map((kind) => [kind, counterpart(kind, chosen()[kind], chosenSystem)]) : [];
  setSystem(chosenSystem, remember);
  document.body.dataset.units = chosenSystem;
  if (changes) restore(new Map([["farm", chosenSystem], ...picks]));
  else for (const entry of controls().filter((one) => one.dataset.kind)) give(entry, given(entry));
  arrange();
}

// A person has typed or chosen.
export function edited(entry) {
  if (entry.dataset.pick !== undefined) {
    bring(entry.dataset.pick, entry.value);
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
  const placed = faults.map((fault) => ({ ...fault, detail: plainly(fault.detail, labelOfLast), entry: nearest(nameOf(fault.pointer)) }));
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
