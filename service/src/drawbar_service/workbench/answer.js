// The answers, set out to be read.

import { calendar, dayInWords, longer } from "./calendar.js";
import { byId, drawn, fill, make } from "./dom.js";
import { choiceWords, inWords, labelOf, labelOfLast, mainTool, titleOf, toolsInShort } from "./form.js";
import { called, manyOf, notAbove, range, rounded, words } from "./units.js";
import { ASSUMED, ASSUMED_OF, inCases, inHundred, LEVERS, LIMITS, plainly, VERDICTS } from "./words.js";

const OF_TOOL = ["hitch", "mass", "depth", "speed", "draft", "width", "vertical", "practice", "rotary"].map((part) => `match/implement/${part}`);

// ---- the job

const SIGNS = {
  holds: ["M2 2h20v20H2z", "M6 12.5l4.2 4.2L18 8"],
  close: ["M2 2h20v20H2z", "M2 22L22 2v20z"],
  fails: ["M2 2h20v20H2z", "M7 7l10 10M17 7L7 17"],
  "cannot-tell": ["M2 2h20v20H2z", "M8.5 9a3.5 3.5 0 1 1 5 3.2c-1 .5-1.5 1-1.5 2.3M12 17.5v1"],
};

// Full for what holds, half full for what is close, empty and crossed for what fails: told apart in grey, too.
function sign(word) {
  const svg = drawn("svg", { viewBox: "0 0 24 24", class: "sign", "aria-hidden": "true" });
  const [box, mark] = SIGNS[word];
  svg.append(drawn("path", { d: box, class: "box" }), drawn("path", { d: mark, class: "mark" }));
  return svg;
}

// Without a wanted speed, the one that is shown is the greatest that holds: a digit more, and it does not.
function pace(match, wanted) {
  return wanted ? words(match.at_work.speed) : notAbove(match.at_work.speed);
}

function headline(match, wanted) {
  const upTo = !wanted && match.verdict.word === "holds" ? "up to" : "at";
  return `${VERDICTS[match.verdict.word]} ${upTo} ${pace(match, wanted)}.`;
}

function chanceInWords({ word, chance, binding }) {
  if (chance === null) return `A limit could not be checked, so the chance is not known: ${LIMITS[binding]}.`;
  // Where most cases break one, those are what is to be known.
  if (word === "fails") return `A limit is broken in ${inCases({ value: 100 - (chance.value < 1 ? chance.value : Math.floor(chance.value + 1e-3)) })}.`;
  return `Every limit is kept in ${inCases(chance)}.`;
}

// The verdict while the ruler moves, from the curve; the answer that follows says the rest.
export function showPassing(word, where, chance) {
  judge(word);
  fill(
    byId("verdict"),
    make("h3", { class: "verdict" }, sign(word), `${VERDICTS[word]} ${where}.`),
    make("p", { class: "chance" }, chanceInWords({ word, chance, binding: null })),
    make("p", { class: "binds" }, "\u00a0"),
  );
}

export function showMatch(match, wanted) {
  const { verdict } = match;
  const head = headline(match, wanted);
  const nearest = verdict.fits ? "Nearest limit" : "Stopped by";
  judge(verdict.word);
  fill(
    byId("verdict"),
    make("h3", { class: "verdict" }, sign(verdict.word), head),
    make("p", { class: "chance" }, chanceInWords(verdict)),
    make(
      "p",
      { class: "binds" },
      verdict.word === "close" ? "It may go and it may not: do not count on it. " : "",
      `${nearest}: `,
      make("strong", {}, LIMITS[verdict.binding]),
    ),
  );
  const chance = verdict.chance === null ? [] : [inHundred(verdict.chance)];
  const more = able(match) ? [match.capacity.effective, match.fuel.per_area].map((one) => words(one)) : [LIMITS[verdict.binding]];
  brief([`${VERDICTS[verdict.word]} at ${pace(match, wanted)}`, ...chance, ...more]);
  fill(byId("figures"), ...figures(match, wanted));
  fill(byId("limits-kept"), limits(match));
  fill(byId("further"), ...further(match));
  return `${head} ${chanceInWords(verdict)} ${nearest}: ${LIMITS[verdict.binding]}.`;
}

// Whether what follows from the match, hours, fuel and cost, is of any use.
export function able({ verdict, fuel }) {
  return (verdict.word === "holds" || verdict.word === "close") && fuel !== null;
}

function judge(word) {
  for (const place of [byId("answer"), document.querySelector(".brief")]) {
    for (const one of Object.keys(VERDICTS)) place.classList.toggle(one, one === word);
  }
  byId("open-sheet").disabled = word === null;
}

// There is no answer to what is entered now, so the one before goes: its verdict, its figures and all that follows.
export function showNoAnswer(reason) {
  judge(null);
  fill(byId("verdict"), make("h3", { class: "verdict" }, reason));
  brief([reason.replace(/\.$/, "")]);
  for (const id of ["figures", "limits-kept", "further", "setup"]) fill(byId(id));
  for (const id of ["completion-answer", "cost-answer"]) showNot(id, "Not answered: the job above comes first.");
  const cautions = byId("beware").querySelector(".cautions");
  fill(byId("beware"), cautions);
  byId("pictures").hidden = true;
  for (const id of ["ruler", "ruler-of-depth", "ruler-of-width", "yard"]) byId(id).classList.add("unknown");
}

// The answer in a line, which stays in sight on a small screen while something is changed.
function brief(parts) {
  const line = document.querySelector(".brief");
  line.hidden = false;
  line.querySelector("a").textContent = parts.map((part) => part.replaceAll(" ", "\u00a0")).join(" · ");
}

export function figure(name, main, ...notes) {
  const small = notes.filter((note) => note).map((note) => make("span", { class: "note" }, note));
  return make("div", {}, make("dt", {}, name), make("dd", {}, make("b", {}, main), ...small));
}

const DASH = "\u2013";

function figures(match, wanted) {
  const { at_work: work, capacity, fuel } = match;
  const band = `best ${work.slip_band.map((end) => rounded(end.value)).join(" to ")} %`;
  const spread = (quantity) => (range(quantity) ? range(quantity) : "");
  const forbidden = work.forbidden_by === null ? "" : `none: ${LIMITS[work.forbidden_by]} forbids it`;
  const known = (name, quantity, ...notes) => {
    if (quantity !== null) return figure(name, words(quantity), ...notes, spread(quantity));
    return forbidden ? figure(name, DASH, forbidden) : null;
  };
  return [
    able(match) ? live("area", known("Area an hour", capacity.effective)) : null,
    able(match) ? live("fuel", known("Fuel by area", fuel.per_area)) : null,
    live("slip", known("Slip", work.slip, band)),
    able(match) ? known("Fuel by the hour", fuel.mean_rate, `${words(fuel.rate)} at work`) : null,
    known("Power used", work.load_fraction, "of rated, at the PTO"),
    gear(match),
    known(work.downhill ? "Pull uphill" : "Pull", work.pull),
    work.downhill ? figure("Pull downhill", words(work.downhill.pull), braked(work.downhill)) : null,
    able(match) && capacity.time ? figure("This field", words(capacity.time), capacity.days ? `${rounded(capacity.days)} days` : "") : null,
  ].filter((one) => one !== null);
}

// A figure that the ruler moves.
function live(name, shown) {
  if (shown !== null) shown.dataset.live = name;
  return shown;
}

function gear({ gear: choice }) {
  if (choice === null) return null;
  return choice.best === null ? figure("Gear", "none", "gives this speed with power to pull") : figure("Gear", choice.best, "burns least of those that can");
}

function braked({ pull, braking }) {
  if (braking !== null && braking.value > 0) return `the wheels hold back ${words(braking)}`;
  return pull.value < 0 ? "the machine pushes" : "";
}

function limits(match) {
  return limitTable("Limits", match.limits, LIMITS, match.verdict.binding);
}

// Limits, each with how near it is; `names` says what they are called. One without a margin is kept or not.
export function limitTable(caption, all, names, binding = null) {
  const rows = all.map((limit) => {
    const near = limit.margin === null ? [limit.kept ? "yes" : "no"] : [bar(limit), roomOf(limit)];
    return make(
      "tr",
      { class: limit.name === binding ? "binding" : "" },
      make("th", { scope: "row" }, names[limit.name]),
      make("td", { class: limit.kept ? "kept" : "broken" }, ...near),
      make("td", { class: "detail" }, limit.detail),
    );
  });
  return table(caption, ["Limit", "How near", "Where it stands"], rows, "limits");
}

function roomOf({ kept, margin }) {
  const room = Math.round(margin.value);
  return kept ? `${room} % to spare` : `broken by ${Math.abs(room) || "under 1"} %`;
}

// How much of a limit is taken up, the upright line being the limit; the words beside it say the same.
function bar({ kept, margin }) {
  const used = Math.min(Math.max(100 - margin.value, 2), 130);
  const svg = drawn("svg", { viewBox: "0 0 132 12", class: kept ? "bar-kept" : "bar-broken", "aria-hidden": "true" });
  svg.append(
    drawn("rect", { x: 0, y: 2, width: used, height: 8, class: "used" }),
    drawn("rect", { x: 99, y: 0, width: 2, height: 12, class: "limit" }),
  );
  return svg;
}

export function table(caption, columns, rows, class_ = "") {
  const heads = columns.map((column) => (column ? make("th", { scope: "col" }, column) : make("td", {})));
  return make(
    "div",
    { class: `table ${class_}`.trim(), tabindex: "0", role: "region", "aria-label": caption },
    make("table", {}, make("caption", {}, caption), make("thead", {}, make("tr", {}, ...heads)), make("tbody", {}, ...rows)),
  );
}

function further({ verdict, greatest }) {
  const found = [
    ["Speed", greatest.speed],
    ["Width", greatest.width],
    ["Depth", greatest.depth],
  ].filter(([, one]) => one !== null);
  if (found.length === 0) return [];
  const lines = found.map(([title, one]) => {
    const pace = one.at_speed ? ` at ${words(one.at_speed)}` : "";
    const poor = one.within_tool_range === false && one.value !== null ? "; slower than the tool works well" : "";
    const rest = one.value === null ? `${LIMITS[one.limited_by]} stops it` : `${central(one)}, then ${LIMITS[one.limited_by]}${poor}`;
    if (one.holds === null) return make("li", {}, make("b", {}, `${title}: none holds`), `${pace}; ${rest}`);
    return make("li", {}, make("b", {}, `${title}: ${notAbove(one.holds)} holds`), `${tools(one.holds_count)}${pace}; ${rest}`);
  });
  const head = verdict.word === "holds" ? "One thing changed, how far it still holds" : "To hold, change one thing";
  return [make("h4", {}, head), make("ul", { class: "further" }, ...lines)];
}

function central(one) {
  return `by the central figures ${notAbove(one.value)}${tools(one.count)}`;
}

function tools(count) {
  return count ? ` (${count} ${manyOf(mainTool(), count)})` : "";
}

// ---- done in time

function needs({ days_needed: needed, days_expected: expected, calendar_days: days, dates }) {
  const sure = dates.likely === null ? "8 in 10 is not reached by then." : `8 in 10 by ${dayInWords(dates.likely)}.`;
  return `The work takes ${rounded(needed, 2)} days fit for it; about ${rounded(expected)} of the ${days} are. ${sure}`;
}

function headOf({ chance, curve }) {
  return `Done by ${dayInWords(curve.at(-1).date)}: ${inHundred(chance)}.`;
}

export function showCompletion(question, answer, normal, bad) {
  const years = [
    ["A normal year", normal],
    ["A bad year", bad],
  ].filter(([, days]) => Number.isFinite(days)).map(([year, days]) => {
    const spare = days - answer.days_needed;
    const told = spare >= 0 ? `done, ${rounded(spare, 2)} to spare` : `not done, ${rounded(-spare, 2)} short`;
    return make("li", {}, make("b", {}, `${year}: ${told}`), ` (${rounded(days)} fit days, ${rounded(answer.days_needed)} needed)`);
  });
  const levers = answer.levers.filter((lever) => lever.gain.value >= 1).slice(0, 4).map((lever) =>
    make("li", {}, make("b", {}, `${LEVERS[lever.name]}: ${inHundred(lever.chance)}`), ` (${lever.change})`),
  );
  const month = calendar(answer.curve, answer.dates.likely);
  const takes = make("p", {}, needs(answer));
  longer(question, answer).then((far) => {
    if (far === null || !month.isConnected) return;
    month.replaceWith(calendar(far.curve, far.dates.likely, answer.curve.at(-1).date));
    fill(takes, needs({ ...answer, dates: far.dates }));
  });
  fill(
    byId("completion-answer"),
    make("h3", { class: "verdict" }, headOf(answer)),
    takes,
    make("p", { class: "note" }, "A day is filled as high as the chance to be done by it."),
    month,
    answer.by_year.length > 0 ? make("p", {}, `In time in ${answer.by_year.filter((one) => one.enough).length} of the ${answer.by_year.length} years of the record.`) : null,
    make("ul", {}, ...years),
    levers.length > 0 ? make("h4", {}, "What would raise it") : null,
    levers.length > 0 ? make("ul", {}, ...levers) : null,
  );
}

// ---- cost

export function showCost(answer) {
  const items = [
    ["Owning", answer.ownership],
    ["Running", answer.operating],
    ["of which fuel and oil", null, answer.fuel, answer.oil],
    ["of which labor", answer.labor],
    ["All", answer.total],
  ];
  const sum = (lines, measure) => lines.filter((line) => line !== null).reduce((total, line) => total + line[measure].value, 0);
  const area = called(answer.total.per_area.unit).replace("per ", "");
  const rows = items.map(([name, ...lines]) =>
    make("tr", { class: name === "All" ? "binding" : "" }, make("th", { scope: "row" }, name), ...["per_area", "per_hour", "per_year"].map((measure) => make("td", { class: "number" }, rounded(sum(lines, measure))))),
  );
  const { hire } = answer;
  fill(
    byId("cost-answer"),
    make("h3", { class: "verdict" }, `${rounded(answer.total.per_area.value)} per ${area}.`),
    make("p", {}, `${words(answer.area)} in a year, ${words(answer.hours)} at work.`),
    table("Cost", ["Item", `per ${area}`, "an hour", "a year"], rows, "money"),
    hire ? make("p", {}, hire.says) : null,
  );
}

export function showNot(id, reason) {
  fill(byId(id), make("p", { class: "not" }, reason));
}

// ---- what to know of the answers

export function showBeware(answers) {
  fill(byId("beware"), ...bewareOf(answers));
  byId("model").textContent = `Model ${answers[0][1].about.model}.`;
}

// Cautions, warnings and assumptions of some answers, each with its question; what there is none of is null. `caption`
// names the table of assumptions, of which a page may have several.
export function bewareOf(answers, caption = "Assumptions") {
  const all = (part) => answers.flatMap(([question, answer]) => answer.about[part].map((one) => [question, one]));
  const once = [...new Map(all("warnings").map((pair) => [pair[1].detail, pair])).values()];
  const warnings = once.map(([question, one]) => make("li", {}, placed(question, one.pointer), plainly(one.detail, labelOfLast)));
  const assumptions = all("assumptions");
  const rows = assumptions.map(([question, one]) =>
    make("tr", {}, make("th", { scope: "row" }, nameOf(question, one.pointer)), make("td", {}, choiceWords(`${question.calculation}${one.pointer}`, one.value) ?? one.value.replace(/ ?money$/, "")), make("td", {}, plainly(one.why, labelOfLast)), make("td", {}, make("a", { href: `docs/sources#source-${one.source}` }, one.source))),
  );
  const cautions = new Set(answers.flatMap(([, answer]) => answer.about.cautions));
  return [
    cautions.size > 0 ? make("ul", { class: "cautions" }, ...[...cautions].map((caution) => make("li", {}, caution))) : null,
    warnings.length > 0 ? make("h3", {}, "To beware of") : null,
    warnings.length > 0 ? make("ul", {}, ...warnings) : null,
    assumptions.length > 0
      ? make(
          "details",
          {},
          make("summary", {}, `What was assumed, since nothing was given (${assumptions.length})`),
          table(caption, ["What", "Taken", "Why", "Source"], rows, "assumed"),
        )
      : null,
  ];
}

function nameOf(question, pointer) {
  const label = labelOf(`${question.calculation}${pointer}`) ?? labelOf(question.nameOf(pointer));
  if (label !== null) return label;
  const last = pointer.split("/").at(-1);
  const of = ASSUMED_OF.find(([place]) => place.test(pointer))?.[1];
  return [ASSUMED[last] ?? last.replaceAll("_", " "), of].filter((part) => part).join(", ");
}

function placed(question, pointer) {
  const name = pointer ? labelOf(question.nameOf(pointer)) : null;
  return name === null ? "" : make("b", {}, `${name}: `);
}

// On paper the controls are gone: this says what was set in them.
export function showSetup() {
  const items = [
    ["Tractor", [titleOf("tractor"), ...inWords(["match/tractor/"])]],
    ["Tool", [titleOf("implement"), ...toolsInShort(), ...inWords(OF_TOOL)]],
    ["Soil, field", [titleOf("field"), ...inWords(["match/soil/", "match/field/a", "match/field/e", "match/field/s"])]],
    ["Job", inWords(["match/speed", "match/limits/"])],
    ["Window", inWords(["completion/", "page/", "match/field/workday"])],
    ["Cost", inWords(["cost/"])],
  ];
  fill(byId("setup"), ...items.map(([title, told]) => make("div", {}, make("dt", {}, title), make("dd", {}, told.join(" · ") || "as assumed"))));
}
