// Pictures of the answer, where this service draws them.

import { ask, Trouble } from "./ask.js";
import { byId, make } from "./dom.js";
import { lists } from "./units.js";

const SVG = "image/svg+xml";

const night = matchMedia("(prefers-color-scheme: dark)");

let paths = lists.pictures;
let asked = null;
let wanted = null;
let inSight = false;

// Draw for this question, once someone looks; pictures take longer than the answer they are of.
export function showPictures(question) {
  asked = wanted = question;
  byId("pictures").hidden = paths.length === 0;
  if (inSight) draw();
}

export function watchPictures() {
  const watcher = new IntersectionObserver(([entry]) => {
    inSight = entry.isIntersecting;
    if (inSight && wanted !== null) draw();
  });
  watcher.observe(byId("pictures"));
  night.addEventListener("change", () => {
    if (asked !== null) showPictures(asked);
  });
}

// A picture that cannot be drawn is left out. One is asked for after the other: a busy service turns several at a time away.
async function draw() {
  const question = wanted;
  wanted = null;
  const found = [];
  for (const path of [...paths]) {
    const one = await picture(path, question);
    if (one === undefined || question !== asked) return; // another question has come in between
    if (one !== null) found.push(one);
  }
  const place = byId("pictures").querySelector(".pictures");
  for (const image of place.querySelectorAll("img")) URL.revokeObjectURL(image.src);
  place.replaceChildren(...found);
  byId("pictures").hidden = found.length === 0;
}

async function picture(path, question, again = true) {
  const { find, odds, ...body } = question.body;
  try {
    const ground = night.matches ? "dark" : "light";
    const blob = await ask(path, path, body, SVG, { query: `&about=none&ground=${ground}` });
    if (blob === null) return undefined;
    if (!blob.type.startsWith(SVG)) return null;
    return make("figure", {}, make("img", { src: URL.createObjectURL(blob), alt: await inWords(blob, path), "data-ground": ground }));
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    if (error.after !== null && again) {
      await new Promise((resolve) => setTimeout(resolve, error.after));
      return question === asked ? picture(path, question, false) : undefined;
    }
    // Not asked for again: this service does not draw it.
    if (error.kind === "failed") paths = paths.filter((one) => one !== path);
    return null;
  }
}

// A picture carries its title and what it shows in words. They are cut out of its text: parsed as a document, its styles
// would break this page's policy, which a picture that is only shown does not.
async function inWords(blob, path) {
  const text = await blob.text();
  const told = ["title", "desc"].map((name) => new RegExp(`<${name}[^>]*>([^<]*)</${name}>`).exec(text)?.[1].trim());
  return told.filter((words) => words).map(plain).join(". ") || path.split("/").at(-1).replaceAll("-", " ");
}

const ENTITIES = { "&lt;": "<", "&gt;": ">", "&quot;": '"', "&#39;": "'", "&apos;": "'", "&amp;": "&" };

function plain(text) {
  return text.replace(/&(?:lt|gt|quot|#39|apos|amp);/g, (entity) => ENTITIES[entity]);
}
