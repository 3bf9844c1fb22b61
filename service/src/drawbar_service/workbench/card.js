// One picture of the job: what is asked, the verdict, the ruler and what moves with the speed. It is drawn from what stands
// on the page, in the page's colours, and needs nobody to draw it.

import { byId } from "./dom.js";
import { chosen, described } from "./form.js";

const WIDE = 1200;
const EDGE = 64;
const ROOM = WIDE - 2 * EDGE;
const CODE = 260;
const VERDICTS = {
  holds: ["--mark", "--on-mark", "--mark"],
  close: ["--near-ground", "--near", "--near"],
  fails: ["--wrong-ground", "--wrong", "--wrong"],
};

// The picture as a PNG; `code` is that of the link, or nothing.
export async function cardOf(code) {
  const canvas = document.createElement("canvas");
  // Drawn twice: the first time shows how tall it gets.
  canvas.width = WIDE;
  canvas.height = 1;
  const tall = draw(canvas.getContext("2d"), code);
  canvas.height = tall;
  const pen = canvas.getContext("2d");
  pen.fillStyle = token("--ground");
  pen.fillRect(0, 0, WIDE, tall);
  draw(pen, code);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
}

function token(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function draw(pen, code) {
  let y = names(pen, EDGE);
  y = verdict(pen, y + 28);
  y = ruler(pen, y + 24);
  return foot(pen, code, y + 28) + EDGE;
}

// Write a text of several lines; return where it ends.
function write(pen, text, { x = EDGE, y, room = ROOM, size, face = "--sans", weight = 400, ink = "--ink", most = 3 }) {
  pen.font = `${weight} ${size}px ${token(face)}`;
  pen.fillStyle = token(ink);
  pen.textBaseline = "alphabetic";
  for (const line of folded(pen, text, room).slice(0, most)) {
    y += size * 1.22;
    pen.fillText(line, x, y);
  }
  return y + size * 0.12;
}

// The size at which a text stands on one line, no smaller than half of `size`.
function onOneLine(pen, text, room, size, weight, face) {
  let fits = size;
  do pen.font = `${weight} ${fits}px ${token(face)}`;
  while (pen.measureText(text).width > room && (fits -= 2) > size / 2);
  return fits;
}

function folded(pen, text, room) {
  const lines = [];
  let line = "";
  for (const word of text.split(/\s+/)) {
    const longer = line ? `${line} ${word}` : word;
    if (line && pen.measureText(longer).width > room) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return [...lines, line];
}

function names(pen, y) {
  const picked = chosen();
  const [tractor, implement, field] = ["tractor", "implement", "field"].map((kind) => described(kind, picked[kind]));
  const facts = [tractor, implement, field].map(({ what }) => what).filter((what) => what).join(" \u00b7 ");
  y = write(pen, `${tractor.title} on ${implement.title.toLowerCase()} in ${field.title}`, { y, size: 58, face: "--serif", weight: 700 });
  return write(pen, facts, { y, size: 30, ink: "--quiet" });
}

function verdict(pen, y) {
  const word = Object.keys(VERDICTS).find((one) => byId("answer").classList.contains(one));
  const [ground, ink, rim] = VERDICTS[word] ?? ["--shade", "--ink", "--line"];
  const inside = { x: EDGE + 44, room: ROOM - 88, ink };
  const [head, ...rest] = [".verdict", ".chance", ".binds"].map((part) => byId("verdict").querySelector(part)?.textContent.trim() ?? "");
  const say = (start, measure) => {
    const size = onOneLine(measure, head, inside.room, 112, 700, "--serif");
    let end = write(measure, head, { ...inside, y: start, size, face: "--serif", weight: 700 });
    end = write(measure, rest[0], { ...inside, y: end + 8, size: 42, weight: 600 });
    return write(measure, rest[1], { ...inside, y: end, size: 36 });
  };
  const end = say(y + 20, document.createElement("canvas").getContext("2d")) + 36;
  pen.beginPath();
  pen.roundRect(EDGE, y, ROOM, end - y, 28);
  pen.fillStyle = token(ground);
  pen.fill();
  pen.lineWidth = 4;
  pen.setLineDash(word === "fails" ? [16, 10] : []);
  pen.strokeStyle = token(rim);
  pen.stroke();
  pen.setLineDash([]);
  say(y + 20, pen);
  return end;
}

// The ruler as it stands on the page: its colours by odds, its marks, and the speed.
function ruler(pen, y) {
  if (byId("ruler").classList.contains("unknown")) return y;
  const slider = byId("ruler-speed");
  const at = (share) => EDGE + 40 + share * (ROOM - 80);
  const place = (mark) => at(Number.parseFloat(mark.style.left) / 100);
  const over = [...byId("ruler-over").children];
  const rows = over.some((mark) => mark.classList.contains("high")) ? 2 : 1;
  const top = y + 44 * rows;
  pen.textBaseline = "alphabetic";
  for (const mark of over) {
    const up = mark.classList.contains("high") ? 84 : 40;
    const right = mark.classList.contains("from-right");
    pen.fillStyle = token("--ink");
    pen.fillRect(place(mark) - 2, top - up, 4, up);
    pen.font = `400 32px ${token("--sans")}`;
    pen.textAlign = right ? "right" : "left";
    pen.fillText(mark.textContent, place(mark) + (right ? -10 : 10), top - up + 28);
  }
  pen.save();
  pen.beginPath();
  pen.roundRect(EDGE, top, ROOM, 84, 42);
  pen.clip();
  pen.fillStyle = token("--shade");
  pen.fillRect(EDGE, top, ROOM, 84);
  pen.imageSmoothingEnabled = true;
  pen.drawImage(byId("ruler-odds"), at(0), top, at(1) - at(0), 84);
  pen.restore();
  pen.strokeStyle = token("--line");
  pen.lineWidth = 2;
  pen.stroke();
  const share = (slider.value - slider.min) / (slider.max - slider.min);
  pen.beginPath();
  pen.arc(at(share), top + 42, 36, 0, 2 * Math.PI);
  pen.fillStyle = token("--ink");
  pen.fill();
  pen.lineWidth = 8;
  pen.strokeStyle = token("--ground");
  pen.stroke();
  pen.fillStyle = token("--quiet");
  pen.textAlign = "center";
  for (const mark of byId("ruler-under").querySelectorAll(".number")) pen.fillText(mark.textContent, place(mark), top + 124);
  pen.textAlign = "left";
  return top + 132;
}

function foot(pen, code, y) {
  const figures = [...byId("figures").querySelectorAll("[data-live]")];
  const room = ROOM - (code === null ? 0 : CODE + 40);
  let below = y;
  const wide = room / Math.max(figures.length, 1) - 16;
  const size = Math.min(...figures.map((figure) => onOneLine(pen, figure.querySelector("b").textContent, wide, 52, 700, "--sans")));
  figures.forEach((figure, place) => {
    const x = EDGE + place * (wide + 16);
    const end = write(pen, figure.querySelector("dt").textContent, { x, y, room: wide, size: 28, ink: "--quiet", most: 1 });
    below = Math.max(below, write(pen, figure.querySelector("b").textContent, { x, y: end, room: wide, size, weight: 700, most: 2 }));
  });
  const model = byId("model").textContent;
  const end = write(pen, `An estimate, not a rating. drawbar. ${model}`, { y: below + 20, room, size: 28, ink: "--quiet" });
  if (code === null) return end;
  const squares = code.size + 4;
  pen.fillStyle = "#fff";
  pen.fillRect(WIDE - EDGE - CODE, y, CODE, CODE);
  pen.fillStyle = "#000";
  const side = CODE / squares;
  for (let row = 0; row < code.size; row += 1) {
    for (let column = 0; column < code.size; column += 1) {
      if (code.get(column, row)) pen.fillRect(WIDE - EDGE - CODE + (column + 2) * side, y + (row + 2) * side, side + 0.3, side + 0.3);
    }
  }
  return Math.max(end, y + CODE);
}
