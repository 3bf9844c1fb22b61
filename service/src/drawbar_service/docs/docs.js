// Search within these pages, and a button that copies a block of code. Without it the pages are whole all the same.

const form = document.querySelector(".search");
const entry = form.querySelector("input");
const found = form.querySelector("ol");
const said = form.querySelector("p");
const MOST = 12;
let index = null;

function load() {
  index ??= fetch("/docs/search.json").then((answer) => {
    if (!answer.ok) throw new Error(String(answer.status));
    return answer.json();
  });
  return index;
}

// Numbers of places are written as distances from the one before.
function places(distances) {
  let at = 0;
  return distances.map((distance) => (at += distance));
}

function ranked({ pages, places: all, words }, text) {
  const terms = text.toLowerCase().match(/[a-z0-9_]{2,}/g) ?? [];
  let scores = null;
  for (const term of terms) {
    const now = new Map();
    for (const [word, distances] of Object.entries(words)) {
      if (!word.startsWith(term)) continue;
      // What stands in few places says more, and a whole word more than its beginning.
      const weight = (word === term ? 3 : 1) / Math.sqrt(distances.length);
      for (const place of places(distances)) now.set(place, Math.max(now.get(place) ?? 0, weight));
    }
    all.forEach(({ 2: title, 0: page }, place) => {
      const heading = `${title} ${pages[page][1]}`.toLowerCase();
      if (heading.includes(term)) now.set(place, (now.get(place) ?? 0) + (title.toLowerCase().includes(term) ? 4 : 1));
    });
    // Every word of the question has to be there.
    scores = scores === null ? now : new Map([...now].filter(([place]) => scores.has(place)).map(([place, score]) => [place, score + scores.get(place)]));
  }
  return [...(scores ?? [])].sort((one, other) => other[1] - one[1] || one[0] - other[0]).map(([place]) => place);
}

async function search() {
  const text = entry.value.trim();
  found.replaceChildren();
  said.textContent = "";
  if (text.length < 2) return;
  let all;
  try {
    all = await load();
  } catch {
    index = null;
    said.textContent = "The index did not arrive. Try again.";
    return;
  }
  if (text !== entry.value.trim()) return; // somebody typed on
  const hits = ranked(all, text);
  for (const place of hits.slice(0, MOST)) {
    const [page, anchor, title] = all.places[place];
    const [path, name] = all.pages[page];
    const link = document.createElement("a");
    link.href = anchor ? `${path}#${anchor}` : path;
    link.textContent = title;
    const item = document.createElement("li");
    item.append(link);
    if (title !== name) item.append(` ${name}`);
    found.append(item);
  }
  const shown = Math.min(hits.length, MOST);
  said.textContent = hits.length === 0 ? "Nothing found." : hits.length === shown ? `${shown} found.` : `${shown} of ${hits.length} found.`;
}

function step(event, by) {
  const links = [entry, ...found.querySelectorAll("a")];
  const next = links[links.indexOf(document.activeElement) + by];
  if (next === undefined) return;
  event.preventDefault();
  next.focus();
}

form.hidden = false;
entry.addEventListener("focus", () => load().catch(() => (index = null)), { once: true });
entry.addEventListener("input", search);
form.addEventListener("submit", (event) => {
  event.preventDefault();
  found.querySelector("a")?.click();
});
form.addEventListener("keydown", (event) => {
  if (event.key === "ArrowDown") step(event, 1);
  else if (event.key === "ArrowUp") step(event, -1);
  else if (event.key === "Escape") {
    entry.value = "";
    search();
    entry.focus();
  }
});
found.addEventListener("click", () => {
  entry.value = "";
  search();
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input")) return;
  event.preventDefault();
  entry.focus();
});

// The clipboard is there on https and on this machine only; elsewhere the text is selected, and copied if that is let.
async function copy(code) {
  try {
    await navigator.clipboard.writeText(code.textContent);
    return true;
  } catch {
    getSelection().selectAllChildren(code);
    return document.execCommand("copy");
  }
}

for (const code of document.querySelectorAll("pre > code:not(.output)")) {
  const block = document.createElement("div");
  const button = document.createElement("button");
  block.className = "block";
  button.type = "button";
  button.textContent = "Copy";
  button.addEventListener("click", async () => {
    button.textContent = (await copy(code)) ? "Copied" : "Selected";
    setTimeout(() => (button.textContent = "Copy"), 2000);
  });
  code.parentElement.replaceWith(block);
  block.append(button, code.parentElement);
}

// An equation that is wider than the page is set smaller, as far as it can be read; beyond that it is moved sideways.
const SMALLEST = 0.55;

function fit() {
  for (const box of document.querySelectorAll(".equation")) {
    box.style.fontSize = "";
    const widest = Math.max(...[...box.querySelectorAll("math")].map((math) => math.getBoundingClientRect().width));
    const style = getComputedStyle(box);
    const room = box.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
    if (widest > room) box.style.fontSize = `${Math.max(SMALLEST, (0.95 * room) / widest) * parseFloat(style.fontSize)}px`;
  }
}

fit();
addEventListener("resize", fit);
