// Pictures of the answer, where this service draws them.

import { ask, Trouble } from "./ask.js";
import { byId, make } from "./dom.js";
import { lists } from "./units.js";

const SVG = "image/svg+xml";

// Draw for this question; a picture that cannot be drawn is left out.
export async function showPictures(question) {
  const pictures = await Promise.all(lists.pictures.map((path) => picture(path, question)));
  if (pictures.includes(undefined)) return; // another question has come in between
  const found = pictures.filter((one) => one !== null);
  const place = byId("pictures").querySelector(".pictures");
  for (const image of place.querySelectorAll("img")) URL.revokeObjectURL(image.src);
  place.replaceChildren(...found);
  byId("pictures").hidden = found.length === 0;
}

async function picture(path, question) {
  const { find, odds, ...body } = question.body;
  try {
    const blob = await ask(path, path, body, SVG);
    if (blob === null) return undefined;
    if (!blob.type.startsWith(SVG)) return null;
    return make("figure", {}, make("img", { src: URL.createObjectURL(blob), alt: await inWords(blob, path) }));
  } catch (error) {
    if (error instanceof Trouble) return null;
    throw error;
  }
}

// A picture carries its title and what it shows in words.
async function inWords(blob, path) {
  const drawing = new DOMParser().parseFromString(await blob.text(), SVG);
  const told = ["title", "desc"].map((name) => drawing.querySelector(`svg > ${name}`)?.textContent.trim());
  return told.filter((words) => words).join(". ") || path.split("/").at(-1).replaceAll("-", " ");
}
