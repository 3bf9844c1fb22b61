// Machines and fields in two forms: nested, as requests and farm files hold them, and flat, as controls do.

import { gearsOf } from "./units.js";

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)$/;

// Put `part` into `body` at a pointer; a number between slashes is a place in a list.
export function put(body, pointer, part) {
  const keys = pointer.slice(1).split("/");
  const last = keys.pop();
  let place = body;
  keys.forEach((key, index) => {
    const next = keys[index + 1] ?? last;
    place[key] ??= /^\d+$/.test(next) ? [] : {};
    place = place[key];
  });
  place[last] = part;
}

// The text of a leaf as a request holds it: numbers as numbers, gears as a list.
export function typedLeaf(pointer, text) {
  if (typeof text !== "string") return text;
  if (pointer.endsWith("/gears")) return gearsOf(text);
  if (text === "true" || text === "false") return text === "true";
  return !pointer.endsWith("/name") && !pointer.endsWith("/size") && NUMBER.test(text) ? Number(text) : text;
}

// The values whose names begin with `start`, as a request holds them.
export function nested(values, start) {
  const body = {};
  for (const [name, text] of Object.entries(values)) {
    if (!name.startsWith(start) || text === "") continue;
    const pointer = `/${name.slice(start.length)}`;
    put(body, pointer, typedLeaf(pointer, text));
  }
  return body;
}

// The other way: each value of `part` under its name, as text. A quantity may stand as value and unit.
export function flat(part, start) {
  if (start.endsWith("/gears") && Array.isArray(part)) {
    return { [start]: part.map(({ name, speed }) => `${name} ${asText(speed)}`).join("; ") };
  }
  if (typeof part !== "object" || part === null || isQuantity(part)) return { [start]: asText(part) };
  return Object.assign({}, ...Object.entries(part).map(([key, member]) => flat(member, `${start}/${key}`)));
}

function isQuantity(part) {
  return "value" in part && "unit" in part;
}

function asText(part) {
  if (part === null) return "";
  return typeof part === "object" && isQuantity(part) ? `${part.value} ${part.unit}` : String(part);
}
