// One's own machines and fields as a farm file, the same that the command line reads: saved from the page and opened in it.

import { byId, make, say } from "./dom.js";
import { choice, titleOf } from "./form.js";
import { bodyOf, isExample, isMine, KINDS, nameOf, ownFarm, takeIn } from "./machines.js";

const MOST_BYTES = 1_000_000;
const PLURALS = { tractor: ["tractor", "tractors"], implement: ["tool", "tools"], field: ["field", "fields"] };
const TABLES = { tractor: "tractors", implement: "implements", field: "fields" };
const JOB = "tonight";
const HEAD = "# A farm file: drawbar match farm.toml --job tonight\n\n";

// Loaded only when a file is read or written.
function toml() {
  return import("./toml.js");
}

// What is kept, with the job that is on the page.
export async function farmText(body) {
  const { stringify } = await toml();
  const { jobs, ...farm } = structuredClone(ownFarm());
  const job = {};
  for (const kind of KINDS) {
    const chosen = choice(kind);
    const known = isExample(kind, chosen) || isMine(kind, chosen);
    const name = known ? nameOf(chosen) : titleOf(kind);
    farm[TABLES[kind]][name] = known ? bodyOf(kind, chosen) : onPage(kind, body);
    job[kind] = name;
  }
  const { speed, limits } = body;
  const tonight = Object.fromEntries(Object.entries({ ...job, speed, limits }).filter(([, part]) => part !== undefined));
  return `${HEAD}${stringify({ ...farm, jobs: { ...jobs, [JOB]: tonight } })}\n`;
}

function onPage(kind, { soil, tractor, implement, field }) {
  const { name, ...rest } = { tractor, implement, field }[kind] ?? {};
  return kind === "field" ? { soil, ...rest } : rest;
}

async function read(file) {
  if (file.size > MOST_BYTES) throw new SyntaxError("it is larger than a farm file can be");
  const text = await file.text();
  return text.trimStart().startsWith("{") ? JSON.parse(text) : (await toml()).parse(text);
}

function told(words) {
  byId("farm-said").textContent = words;
  say(words);
}

async function open(file) {
  let farm;
  try {
    farm = await read(file);
  } catch (error) {
    told(`${file.name} could not be read: ${error.message.split("\n")[0]}.`);
    return null;
  }
  const { counts, kept } = takeIn(farm);
  const names = firstJob(farm);
  const parts = KINDS.filter((kind) => counts[kind] > 0).map((kind) => `${counts[kind]} ${PLURALS[kind][counts[kind] === 1 ? 0 : 1]}`);
  if (parts.length === 0) told(`${file.name} has no tractors, implements or fields.`);
  else told(`From ${file.name}: ${parts.join(", ")}.${farm.tables === undefined ? "" : " Its own tables are not used on this page."}${kept ? "" : " This browser keeps nothing, so they last as long as the page."}`);
  return parts.length > 0 ? names : null;
}

// The parts of the first job of a farm file, or the first of each.
function firstJob({ jobs = {}, ...farm }) {
  const [job = {}] = Object.values(jobs);
  const named = KINDS.map((kind) => {
    const there = Object.keys(farm[TABLES[kind]] ?? {});
    return [kind, there.includes(job[kind]) ? job[kind] : there[0]];
  });
  return { parts: named.filter(([, name]) => name !== undefined), speed: job.speed };
}

// `question` gives the match that is on the page, `changed` hears of the job that came in.
export function watchFarmFile(question, changed) {
  byId("save-farm").addEventListener("click", async () => {
    const blob = new Blob([await farmText(question())], { type: "application/toml" });
    const address = URL.createObjectURL(blob);
    make("a", { href: address, download: "farm.toml" }).click();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
  });
  byId("open-farm").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    const job = file === undefined ? null : await open(file);
    if (job !== null) changed(job);
    event.target.value = "";
  });
}
