// The job, handed on: its link with a code to point a phone at, a picture to send, and the field sheet.

import { copy } from "./code.js";
import { byId, drawn, fill, make, say } from "./dom.js";

// A longer link makes a code too fine for the camera of a phone.
const MOST_IN_CODE = 1200;
// Light squares around a code, as many as readers need.
const RIM = 4;

let inSight = false;
let coded = "";
let shown = null;

// The link of what is set now.
export function showLink() {
  byId("share-address").value = location.href;
  if (inSight) drawCode();
}

// Whether there is an answer to hand on.
export function showShare(answered) {
  for (const id of ["save-card", "share-sheet"]) byId(id).disabled = !answered;
  byId("card").hidden = true;
}

export function watchShare(openSheet) {
  new IntersectionObserver(([entry]) => {
    inSight = entry.isIntersecting;
    if (inSight) drawCode();
  }).observe(byId("share"));
  byId("copy-link").addEventListener("click", (event) => copy(location.href, event.target, selectLink));
  byId("share-address").addEventListener("focus", () => byId("share-address").select());
  byId("share-sheet").addEventListener("click", openSheet);
  byId("save-card").addEventListener("click", handOnCard);
}

function selectLink() {
  byId("share-address").focus();
  byId("share-address").select();
  return "It cannot be copied from here. The link is selected: press the copy key.";
}

// ---- the code

// What draws it comes with the first code that somebody looks at.
async function drawCode() {
  const link = location.href;
  if (link === coded) return;
  coded = link;
  const code = link.length > MOST_IN_CODE ? null : await codeOf(link);
  if (link !== coded) return; // another link has come in between
  const words = code === null ? "This link is too long for a code: copy it." : "Point a phone at it to open this job there.";
  fill(byId("share-code"), code === null ? null : picture(code), make("figcaption", { class: "hint" }, words));
}

// The squares of a link's code; nothing where what draws it did not arrive.
export async function codeOf(link) {
  try {
    const { generate } = await import("./lean-qr.mjs");
    return generate(link);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    return null;
  }
}

function picture(code) {
  const size = code.size + 2 * RIM;
  const svg = drawn("svg", { viewBox: `${-RIM} ${-RIM} ${size} ${size}`, role: "img", "aria-label": "Code of the link", "shape-rendering": "crispEdges" });
  let squares = "";
  for (let y = 0; y < code.size; y += 1) {
    for (let x = 0; x < code.size; x += 1) if (code.get(x, y)) squares += `M${x} ${y}h1v1h-1z`;
  }
  svg.append(drawn("rect", { x: -RIM, y: -RIM, width: size, height: size, class: "light" }), drawn("path", { d: squares, class: "dark" }));
  return svg;
}

// ---- the picture

async function handOnCard() {
  const link = location.href;
  const { cardOf } = await import("./card.js");
  const blob = await cardOf(link.length > MOST_IN_CODE ? null : await codeOf(link));
  if (shown !== null) URL.revokeObjectURL(shown);
  shown = URL.createObjectURL(blob);
  const image = byId("card").querySelector("img");
  image.src = shown;
  image.alt = ["#verdict", ".sentence"].map((part) => document.querySelector(part).innerText.replace(/\s+/g, " ").trim()).join(" ");
  byId("card").hidden = false;
  const file = new File([blob], "job.png", { type: blob.type });
  if (!navigator.canShare?.({ files: [file] })) {
    make("a", { href: shown, download: file.name }).click();
    say("The picture is saved.");
    return;
  }
  try {
    await navigator.share({ files: [file], text: link });
  } catch (error) {
    if (error.name !== "AbortError" && error.name !== "NotAllowedError") throw error;
  }
}
