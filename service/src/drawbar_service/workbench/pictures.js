// Pictures of the answer, where this service draws them.

import { ask, Trouble } from "./ask.js";
import { byId, make } from "./dom.js";
import { lists } from "./units.js";

const TOLD = {
  "power-by-speed": "Power needed by ground speed, against what the tractor has",
  "slip-by-pull": "Wheel slip by pull, with the pull of this tool",
  "fit-map": "Where width or depth and speed fit, and what stops them where they do not",
  "draft-by-tool": "Pull of each ground tool by ground speed",
};
const SVG = "image/svg+xml";

let without = lists.curves.length === 0;

// Draw for this question; a picture that cannot be drawn is left out.
export async function showPictures(question, summary) {
  if (without) return;
  const pictures = await Promise.all(lists.curves.map((path) => drawn(path, question, summary)));
  if (pictures.includes(undefined)) return; // another question has come in between
  const found = pictures.filter((one) => one !== null);
  const place = byId("pictures").querySelector(".pictures");
  for (const image of place.querySelectorAll("img")) URL.revokeObjectURL(image.src);
  place.replaceChildren(...found);
  byId("pictures").hidden = found.length === 0;
}

async function drawn(path, question, summary) {
  const { find, odds, ...body } = question.body;
  try {
    const blob = await ask(path, path, body, SVG);
    if (blob === null) return undefined;
    if (!blob.type.startsWith(SVG)) return null;
    const told = TOLD[path.split("/").at(-1)] ?? path.split("/").at(-1).replaceAll("-", " ");
    const image = make("img", { src: URL.createObjectURL(blob), alt: `${told}. ${summary}` });
    return make("figure", {}, image, make("figcaption", {}, told));
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    return null;
  }
}
