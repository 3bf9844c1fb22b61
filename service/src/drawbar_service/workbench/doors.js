// The doors: further questions about the job. The script of a door is fetched when it is first opened.

import { bewareOf } from "./answer.js";
import { ask, Trouble } from "./ask.js";
import { byId, fill, make, say } from "./dom.js";
import * as form from "./form.js";
import { choiceOf, exampleNames, ownNames } from "./machines.js";

const PAUSE = 250;
const NO_JOB = "Answered once the job above is.";
// Questions of the page itself, which it asks again by itself.
const OF_PAGE = /^(match|completion|cost)\//;

const scripts = new Map();
const turns = new Map();
const waiting = new Map();
let job = null;

// `kept` is called when something behind a door is entered, for the link.
export function watchDoors(kept) {
  watchDaysFile();
  byId("doors").addEventListener("toggle", ({ target }) => target.matches(".door") && target.open && open(target), true);
  byId("doors").addEventListener("input", (event) => {
    const { target } = event;
    if (!target.name || OF_PAGE.test(target.name)) return;
    event.stopPropagation();
    form.edited(target);
    kept();
    const door = target.closest(".door");
    scripts.get(door.dataset.door)?.entered?.(door);
    if (door.querySelector(".answer-it") === null) later(door);
  });
  byId("doors").addEventListener("click", ({ target }) => target.matches(".answer-it") && answer(target.closest(".door")));
}

// The job as it is answered now: the match and what follows from it; null while there is no answer.
export function showDoors(now) {
  job = now;
  for (const door of byId("doors").querySelectorAll(".door[open]")) {
    if (!scripts.has(door.dataset.door)) {
      open(door);
      continue;
    }
    offer(door);
    scripts.get(door.dataset.door).renew?.(door);
    if (door.querySelector(".answer-it") === null) later(door, 0);
    else stale(door);
  }
}

// A file of one's own days is read by a script of its own.
function watchDaysFile() {
  const file = byId("days-file");
  const read = async () => {
    dress();
    const { readDays } = await import("./door-days.js");
    readDays(file);
  };
  if (file.open) read();
  else file.addEventListener("toggle", read, { once: true });
}

// Lists of machines offer those that can be chosen, which change with what is kept and with the farm in use.
function offer(door) {
  for (const list of door.querySelectorAll("[data-lists]")) {
    const { lists: kind, given } = list.dataset;
    if (kind === "operation") {
      if (list.options.length === 1) list.append(byId("operations").content.cloneNode(true));
      choose(list, given);
      continue;
    }
    const names = [...ownNames(kind).map(choiceOf), ...exampleNames(kind)];
    const nothing = list.querySelector('option[value=""]');
    const now = nothing === null ? null : make("option", { value: "now" }, "as set above");
    fill(list, nothing, now, ...names.map((value) => make("option", { value }, form.described(kind, value).title)));
    choose(list, given);
  }
}

function choose(list, given = "") {
  list.value = given;
  if (list.selectedIndex < 0) list.selectedIndex = 0;
}

async function open(door) {
  const { door: name } = door.dataset;
  if (!scripts.has(name)) {
    dress();
    try {
      const script = await import(`./door-${name}.js`);
      scripts.set(name, script);
      script.start?.(door, { again: () => later(door, 0) });
    } catch {
      showInPlace(door, "A part of this page did not arrive. Close this and open it again.");
      return;
    }
  }
  offer(door);
  scripts.get(name).renew?.(door);
  if (door.querySelector(".answer-it") === null) later(door, 0);
}

function dress() {
  if (document.querySelector("#doors-style") !== null) return;
  document.head.append(make("link", { id: "doors-style", rel: "stylesheet", href: new URL("doors.css", import.meta.url).pathname }));
}

function later(door, wait = PAUSE) {
  clearTimeout(waiting.get(door));
  waiting.set(door, setTimeout(() => answer(door), wait));
}

function stale(door) {
  door.querySelector(".door-answer").classList.add("stale");
}

function showInPlace(door, words) {
  fill(door.querySelector(".door-answer"), make("p", { class: "not" }, words));
}

async function answer(door) {
  const { door: name } = door.dataset;
  const script = scripts.get(name);
  if (script === undefined) return;
  if (job === null) {
    showInPlace(door, NO_JOB);
    return;
  }
  const turn = (turns.get(name) ?? 0) + 1;
  turns.set(name, turn);
  const place = door.querySelector(".door-answer");
  const questions = script.questions(job, door);
  if (typeof questions === "string") {
    clearFaults(script);
    showInPlace(door, questions);
    return;
  }
  place.setAttribute("aria-busy", "true");
  if (place.querySelector(".verdict") === null) showInPlace(door, "Calculating…");
  else stale(door);
  try {
    const answers = await Promise.all(questions.map((one, index) => ask(`door-${name}-${index}`, one.path, one.body, undefined, { patience: script.patience })));
    if (answers.includes(null) || turns.get(name) !== turn) return;
    clearFaults(script);
    if (questions[0]?.calculation === script.calculation) form.showTaken(script.calculation, answers[0].about.assumptions);
    const [head, ...rest] = await script.shown(job, questions, answers, door);
    fill(place, head, ...rest, foot(door, questions, answers));
    place.classList.remove("stale");
    say(head.textContent);
  } catch (error) {
    if (turns.get(name) === turn) notAnswered(door, script, questions, error);
  }
  place.setAttribute("aria-busy", "false");
  door.dataset.answered = String(turn);
}

function clearFaults({ calculation }) {
  form.showFaults(calculation, [], () => "");
}

function notAnswered(door, script, questions, error) {
  if (!(error instanceof Trouble)) {
    showInPlace(door, "This answer could not be shown.");
    throw error;
  }
  if (error.kind !== "faults") {
    showInPlace(door, error.message);
    if (error.after !== null) later(door, error.after);
    return;
  }
  const placed = form.showFaults(script.calculation, error.faults, (pointer) => questions[0].nameOf(pointer));
  const homeless = placed.filter(({ entry }) => entry === null);
  const missing = placed.every(({ detail }) => detail.startsWith("required"));
  const what = placed.length > homeless.length ? `Not answered: ${missing ? "fill in" : "mend"} what is marked.` : "Not answered.";
  fill(
    door.querySelector(".door-answer"),
    make("p", { class: "not" }, what),
    homeless.length > 0 ? make("ul", {}, ...homeless.map(({ detail }) => make("li", {}, detail))) : null,
  );
}

// What to know of the answers beyond what the page says of the job already.
function foot(door, questions, answers) {
  const known = job.answer.about;
  const news = answers.map((one) => ({
    about: {
      cautions: one.about?.cautions?.filter((caution) => !known.cautions.includes(caution)) ?? [],
      warnings: one.about?.warnings?.filter(({ detail }) => !known.warnings.some((other) => other.detail === detail)) ?? [],
      assumptions: one.about?.assumptions?.filter(({ value, why }) => !known.assumptions.some((other) => other.value === value && other.why === why)) ?? [],
    },
  }));
  return make("div", { class: "foot" }, ...bewareOf(questions.map((question, place) => [question, news[place]]), `Assumed for “${door.querySelector("summary").textContent}”`).filter((one) => one !== null));
}
