// The page at work: what is set goes to the service, and what comes back is shown.

import { able, showBeware, showCompletion, showCost, showMatch, showNoAnswer, showNot, showSetup } from "./answer.js";
import { ask, drop, hasKey, Trouble, useKey } from "./ask.js";
import { watchLevers } from "./calendar.js";
import { copy, selectCode, showCode } from "./code.js";
import { byId, fill, make, say } from "./dom.js";
import * as form from "./form.js";
import { openDescribe, watchDescribe } from "./describe.js";
import { watchFarmFile } from "./farmfile.js";
import { choiceOf, farmInUse, forget, keepOwn, KINDS, nameOf } from "./machines.js";
import { heardNothingOld, showOffline, watchOffline } from "./offline.js";
import { showPictures, watchPictures } from "./pictures.js";
import { completionQuestion, costQuestion, matchQuestion } from "./request.js";
import { passed, showRulers, watchRulers } from "./ruler.js";
import { showLink, showShare, watchShare } from "./share.js";
import { openSheet } from "./sheet.js";
import * as state from "./state.js";
import { firstSystem, lists, system } from "./units.js";
import { showFinish, showYard, watchYard, yardKind } from "./yard.js";

const PAUSE = 250;
const ASK_AGAIN = 10000;
const WAITING = "Calculated once the tractor holds the job, or comes close.";
const UNPRICED = "Calculated once tractor and tool have a price: what you pay, or what they would fetch today.";

let turn = 0;
let soon = null;
let linked = "";
let questions = {};

function later(wait = PAUSE) {
  clearTimeout(soon);
  soon = setTimeout(work, wait);
}

function keepLink() {
  linked = state.written(form.chosen(), form.unexplained(), farmInUse(), system);
  state.keep(linked);
  showLink();
}

// Until the answer is there, what stands on the page answers the question before.
function busy(asking) {
  byId("answer").setAttribute("aria-busy", String(asking));
  document.querySelector(".brief").classList.toggle("stale", asking);
}

async function work() {
  turn += 1;
  const mine = turn;
  const stale = () => mine !== turn;
  keepLink();
  heardNothingOld();
  busy(true);
  const match = matchQuestion();
  questions = { match };
  showCode(questions);
  try {
    const answer = await ask("match", match.path, match.body);
    if (answer === null || stale()) return;
    const spoken = showMatch(answer, match.body.speed !== undefined);
    showSetup();
    showShare(true);
    form.showTaken("match", answer.about.assumptions);
    form.listFaults(form.showFaults("match", [], (pointer) => match.nameOf(pointer)));
    busy(false);
    const drawn = showRulers(match, answer)
      .then(() => (stale() ? null : showYard(match)))
      .then(() => (stale() ? null : showFinish(completionQuestion(answer))));
    const rest = await reckonRest(answer, stale);
    if (rest === null) return;
    showCode(questions);
    showBeware([[match, answer], ...rest.answered]);
    if (rest.faults.length > 0) form.listFaults(rest.faults);
    showDoors({ match, answer, followed: rest.answered });
    await drawn;
    if (stale()) return;
    if (showOffline(rest.away)) later(ASK_AGAIN);
    say(rest.faults.length > 0 ? "" : spoken);
    document.body.dataset.turn = String(mine);
    showPictures(match);
  } catch (error) {
    if (stale()) return;
    busy(false);
    tell(error, match);
    document.body.dataset.turn = String(mine);
  }
}

// What follows from the match: whether it is done in time, and what it costs.
async function reckonRest(match, stale) {
  const makers = { completion: completionQuestion, cost: costQuestion };
  const show = {
    completion: (answer, question) => showCompletion(question, answer, number("completion/suitable/mean"), number("page/bad_year")),
    cost: showCost,
  };
  const answered = [];
  const faults = [];
  let away = false;
  for (const name of Object.keys(makers)) {
    if (!able(match)) {
      drop(name);
      form.showFaults(name, [], () => "");
      showNot(`${name}-answer`, WAITING);
      continue;
    }
    const question = makers[name](match);
    if (name === "cost" && question.body.machines.some(({ price }) => price === undefined)) {
      drop(name);
      form.showFaults(name, [], () => "");
      showNot("cost-answer", UNPRICED);
      continue;
    }
    questions[name] = question;
    try {
      const answer = await ask(name, question.path, question.body);
      if (answer === null || stale()) return null;
      form.showFaults(name, [], () => "");
      form.showTaken(name, answer.about.assumptions);
      show[name](answer, question);
      answered.push([question, answer]);
    } catch (error) {
      if (stale()) return null;
      if (error instanceof Trouble && error.kind === "away") {
        away = true;
        showNot(`${name}-answer`, "Not answered: the service cannot be reached.");
        later(error.after);
        continue;
      }
      if (!(error instanceof Trouble) || error.kind !== "faults") throw error;
      showNot(`${name}-answer`, "Not answered: mend the marked entry first.");
      faults.push(...form.showFaults(name, error.faults, (pointer) => question.nameOf(pointer)));
    }
  }
  return { answered, faults, away };
}

function number(name) {
  const entry = form.control(name);
  return form.counts(entry) ? Number.parseFloat(form.value(entry)) : Number.NaN;
}

// The job has no answer: say why, and take the one before away.
function tell(error, question) {
  if (!(error instanceof Trouble)) throw error;
  for (const name of ["completion", "cost"]) {
    drop(name);
    form.showFaults(name, [], () => "");
  }
  for (const name of ["match", "completion", "cost"]) form.showTaken(name, []);
  showShare(false);
  showDoors(null);
  if (error.kind === "faults") {
    const placed = form.showFaults("match", error.faults, (pointer) => question.nameOf(pointer));
    form.listFaults(placed);
    const how = placed.every(({ detail }) => detail.startsWith("required")) ? "fill in" : "mend";
    showNoAnswer(`Not answered: ${how} the marked ${placed.length > 1 ? "entries" : "entry"}.`);
    return;
  }
  if (error.kind === "away") {
    // The ruler knows every speed of the job it was fetched for, without the service.
    const read = passed(question);
    if (!read) showNoAnswer("Not answered yet.");
    showOffline(true, read);
    later(error.after);
    return;
  }
  showNoAnswer("Not answered yet.");
  complain(error);
}

function complain(error) {
  if (!(error instanceof Trouble)) throw error;
  const trouble = byId("trouble");
  if (error.kind === "key") {
    byId("key").hidden = false;
    trouble.hidden = true;
    if (!hasKey()) return; // nobody has given one yet, so there is nothing to complain of
  }
  fill(trouble, make("p", {}, error.message));
  trouble.classList.add("stays");
  trouble.hidden = false;
  if (error.after !== null) later(error.after);
}

// Keep what is entered under its name: a change of one's own stays one's own.
function keepThis(kind) {
  const name = form.nameToKeep(kind);
  keepOwn(kind, name, form.ownValues(kind));
  form.choose(kind, choiceOf(name));
  later(0);
}

let doors = null;

// The doors are fetched once there is something to answer them from, and again with the next answer if they are lost.
function showDoors(job) {
  doors ??= import("./doors.js").then((script) => {
    script.watchDoors(keepLink);
    return script;
  });
  doors.then(
    (script) => script.showDoors(job),
    () => {
      doors = null;
    },
  );
}

function followLink() {
  const link = state.read(location.hash, lists.renamed);
  document.body.dataset.units = firstSystem(link.get("units"));
  form.changeUnits(document.body.dataset.units, false);
  form.restore(link);
  later(0);
}

// The answer in a line is of use only while the verdict is out of sight.
function watchBrief() {
  new IntersectionObserver(([entry]) => document.querySelector(".brief").classList.toggle("away", entry.isIntersecting)).observe(byId("verdict"));
}

function start() {
  document.body.dataset.started = "";
  const main = document.querySelector("main");
  main.addEventListener("submit", (event) => event.preventDefault());
  main.addEventListener("input", (event) => {
    if (event.target.dataset.pick !== undefined && event.target.value === "") {
      // Until it is described, what was chosen before stays.
      const kind = event.target.dataset.pick;
      event.target.value = form.choiceBefore(kind);
      openDescribe(kind);
      return;
    }
    if (event.target.name || event.target.dataset.pick !== undefined) {
      form.edited(event.target);
      later();
    }
  });
  main.addEventListener("change", (event) => {
    if (event.target.name) form.settled(event.target);
  });
  main.addEventListener("click", (event) => {
    const goal = event.target.closest("[data-goto]")?.dataset.goto;
    if (goal) {
      event.preventDefault();
      byId(goal).focus();
    }
    const remove = event.target.closest(".remove");
    if (remove !== null) {
      form.removeTool(remove.closest("fieldset"));
      later();
    }
  });
  // The address holds what is set, so links within the page must not change it.
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    if (link === null) return;
    event.preventDefault();
    const goal = byId(link.getAttribute("href").slice(1));
    goal.scrollIntoView();
    goal.focus();
  });
  byId("add-tool").addEventListener("click", () => {
    form.addTool();
    later();
  });
  main.addEventListener("click", ({ target }) => {
    const { keep, forget: gone } = target.dataset;
    if (keep) keepThis(keep);
    if (gone && confirm(`Delete ${nameOf(form.choice(gone))} from this browser?`)) {
      forget(gone, nameOf(form.choice(gone)));
      form.choose(gone, form.firstChoice(gone));
      later(0);
    }
  });
  for (const button of document.querySelectorAll("button[data-units]")) {
    button.addEventListener("click", () => {
      form.changeUnits(button.dataset.units, true);
      later(0);
    });
  }
  const sheet = () => {
    const { match } = questions;
    openSheet(match, Object.fromEntries(KINDS.map((kind) => [kind, form.titleOf(kind)]))).catch(complain);
  };
  byId("open-sheet").addEventListener("click", sheet);
  watchShare(sheet);
  for (const id of ["code-of", "code-as"]) byId(id).addEventListener("change", () => showCode(questions));
  byId("copy-code").addEventListener("click", (event) => copy(byId("code-text").textContent, event.target, selectCode));
  byId("key").addEventListener("submit", () => {
    useKey(byId("key-entry").value);
    byId("key-entry").value = "";
    byId("key").hidden = true;
    later(0);
  });
  addEventListener("hashchange", () => {
    if (location.hash.replace(/^#/, "") !== linked) followLink();
  });
  watchRulers(form.setFromRuler, () => later(0));
  watchYard((kind, name, moved) => {
    if (form.choice(kind) !== name) form.choose(kind, name);
    form.setFromRuler(moved);
    byId("answer").scrollIntoView();
    byId("answer").focus({ preventScroll: true });
    later(0);
  });
  watchDescribe((kind, choice) => {
    form.choose(kind, choice);
    later(0);
  });
  watchFarmFile(() => matchQuestion().body, ({ parts, speed }) => {
    for (const [kind, name] of parts) form.choose(kind, choiceOf(name));
    if (typeof speed === "string") form.setFromRuler({ "/speed": speed });
    later(0);
  });
  byId("describe-one").addEventListener("click", () => openDescribe(yardKind()));
  watchPictures();
  watchLevers(() => later());
  watchBrief();
  watchOffline(() => later(0));
  followLink();
}

start();
