// The field sheet of the job, opened beside this page to be printed and carried.

import { ask } from "./ask.js";
import { make } from "./dom.js";

export async function openSheet(question, names) {
  // Opened before the sheet is there: a tab that comes later counts as unasked for, and may be blocked.
  const tab = open("", "_blank");
  try {
    const blob = await ask("sheet", "v1/sheet", named(question.body, names), "text/html");
    if (blob === null) {
      tab?.close();
      return;
    }
    const address = URL.createObjectURL(blob);
    if (tab === null) make("a", { href: address, download: "field-sheet.html" }).click();
    else tab.location.replace(address);
  } catch (error) {
    tab?.close();
    throw error;
  }
}

// The sheet is headed by what is chosen by name. It finds what would fit by itself, and tells no odds.
function named({ find, odds, ...body }, names) {
  for (const part of ["tractor", "implement", "field"]) {
    if (names[part] && (body[part] !== undefined || part === "field")) body[part] = { name: names[part], ...body[part] };
  }
  return body;
}
