// Asking the service: one question of a kind at a time, the last one wins, and failures come back in words.

import { keepAnswer, keptAnswer } from "./kept-answers.js";
import { heardOld } from "./offline.js";
import { system } from "./units.js";

const KEY = "drawbar-key";
const PATIENCE = 15000;
const AGAIN = 4000;

let key = kept();
const underWay = new Map();

function kept() {
  try {
    return sessionStorage.getItem(KEY);
  } catch {
    return null;
  }
}

export function useKey(given) {
  key = given;
  try {
    sessionStorage.setItem(KEY, given);
  } catch {
    // Storage may be switched off; the key then lasts as long as the page.
  }
}

export function hasKey() {
  return key !== null;
}

// What went wrong: `kind` is faults, key, busy, away or failed; `after` says when to try again, if that may help.
export class Trouble extends Error {
  constructor(kind, message, { faults = [], after = null } = {}) {
    super(message);
    this.kind = kind;
    this.faults = faults;
    this.after = after;
  }
}

// Ask, dropping any question of the same name that is still under way; null if this one was dropped in turn.
export async function ask(name, path, body, accept = "application/json", { query = "", patience = PATIENCE } = {}) {
  underWay.get(name)?.abort();
  const stop = new AbortController();
  underWay.set(name, stop);
  const late = setTimeout(() => stop.abort("late"), patience);
  const address = `${path}?units=${system}${query}`;
  const text = JSON.stringify(body);
  const json = accept === "application/json";
  try {
    const response = await fetch(address, {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: accept, ...(key ? { Authorization: `Bearer ${key}` } : {}) },
      body: text,
      signal: stop.signal,
    });
    if (!response.ok) throw await troubleOf(response);
    if (!json) return await response.blob();
    const answer = await response.text();
    keepAnswer(address, text, answer);
    return JSON.parse(answer);
  } catch (error) {
    if (stop.signal.aborted && stop.signal.reason !== "late") return null;
    if (error instanceof Trouble) throw error;
    const old = json ? await keptAnswer(address, text) : null;
    if (old !== null) {
      heardOld(old.given);
      return old.answer;
    }
    throw new Trouble("away", "The service does not answer. Asking again.", { after: AGAIN });
  } finally {
    clearTimeout(late);
    if (underWay.get(name) === stop) underWay.delete(name);
  }
}

export function drop(name) {
  underWay.get(name)?.abort();
}

async function troubleOf(response) {
  const problem = await response.json().catch(() => ({}));
  const words = problem.detail ?? `The service answered with status ${response.status}.`;
  if (response.status === 401 || response.status === 403) return new Trouble("key", words);
  if (response.status === 429 || response.status === 503) {
    const wait = Number(response.headers.get("Retry-After")) * 1000 || AGAIN;
    return new Trouble("busy", `The service is busy. Asking again in ${rounded(wait)}.`, { after: wait });
  }
  if (problem.errors?.length > 0) return new Trouble("faults", words, { faults: problem.errors });
  return new Trouble("failed", `${words} (request ${problem.instance ?? "unknown"})`);
}

function rounded(wait) {
  const seconds = Math.ceil(wait / 1000);
  return seconds === 1 ? "a second" : `${seconds} seconds`;
}
