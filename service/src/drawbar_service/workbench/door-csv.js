// Files of rows: a spreadsheet saved as text, with a heading over each column.

import { BadFile } from "./door-parts.js";

const EMPTY = new Set(["", "-", "na", "n/a", "nan", "null", "none"]);

// The rows of a text, each with its line and its cells under the plain names of `names`; `needed` lists groups of names
// of which one has to be there.
export function rowsOf(text, names, needed) {
  const lines = text.replace(/^\ufeff/, "").split(/\r?\n/).map((line, index) => [index + 1, line]).filter(([, line]) => line.trim() !== "");
  if (lines.length < 2) throw new BadFile(["It has no rows under a heading."]);
  const divider = [",", ";", "\t"].reduce((best, one) => (lines[0][1].split(one).length > lines[0][1].split(best).length ? one : best));
  const heads = cells(lines[0][1], divider);
  const columns = heads.map((head) => named(head, names));
  for (const group of needed) {
    if (!columns.some((column) => column !== null && group.includes(column.name))) {
      throw new BadFile([`It has no column “${group[0].replaceAll("_", " ")}”. Its columns are: ${heads.join(", ")}.`]);
    }
  }
  return lines.slice(1).map(([line, content]) => {
    const found = cells(content, divider);
    if (found.length !== heads.length) throw new BadFile([`Line ${line} has ${found.length} cells, the heading ${heads.length}.`]);
    const row = {};
    columns.forEach((column, place) => {
      const cell = found[place].trim();
      if (column === null || EMPTY.has(cell.toLowerCase())) return;
      row[column.name] = { text: divider === "," ? cell : cell.replace(/^(-?\d+),(\d+)$/, "$1.$2"), unit: column.unit };
    });
    return { line, row };
  });
}

function cells(line, divider) {
  const found = [""];
  let quoted = false;
  for (const letter of line) {
    if (letter === '"') quoted = !quoted;
    else if (letter === divider && !quoted) found.push("");
    else found[found.length - 1] += letter;
  }
  return found;
}

// A heading such as "Fuel (L/h)" or "rain_mm": what it is, and its unit if it has one.
function named(head, names) {
  const [, word, inside] = /^\s*(.*?)\s*(?:[([]\s*(.*?)\s*[)\]])?\s*$/.exec(head);
  const plain = word.toLowerCase().replace(/[\s-]+/g, "_");
  if (plain in names) return { name: names[plain], unit: inside ?? "" };
  const parts = plain.split("_");
  const last = parts.pop();
  return parts.join("_") in names ? { name: names[parts.join("_")], unit: last } : null;
}

// A number of a row; undefined where it has none. What is amiss goes to `faults`.
export function numberOf({ line, row }, name, faults, least = -Infinity, most = Infinity) {
  if (row[name] === undefined) return undefined;
  const { text } = row[name];
  const value = Number(text);
  if (text !== "" && value >= least && value <= most) return value;
  faults.push(`Line ${line}, ${name.replaceAll("_", " ")}: “${text}” is no number${Number.isFinite(least) ? ` from ${least} to ${most}` : ""}.`);
  return undefined;
}

// A day of a row, written 2027-10-20.
export function dayOf({ line, row }, name, faults) {
  if (row[name] === undefined) return undefined;
  const text = row[name].text.slice(0, 10);
  if (/^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(Date.parse(text))) return text;
  faults.push(`Line ${line}, ${name.replaceAll("_", " ")}: “${row[name].text}” is no day such as 2027-10-20.`);
  return undefined;
}
