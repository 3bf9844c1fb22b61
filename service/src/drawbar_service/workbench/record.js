// The record of days fit for work that the page counts with: one that is shipped, or weeks from a file of one's own.

import { make } from "./dom.js";
import { control, edited } from "./form.js";

const OWN = "own";

let own = null;

export function useRecord(record, name) {
  own = record;
  const list = control("page/record");
  list.querySelector(`[value="${OWN}"]`)?.remove();
  list.append(make("option", { value: OWN }, `as in ${name}`));
  list.value = OWN;
  edited(list);
}

export function recordOf(id) {
  return id === OWN ? own : { id };
}
