// What is set on the page, in its address, so that a link brings it back. Nothing else is kept.

// What a link says of a machine or field that is one's own.
export const OWN = "own";

// A link holds what is chosen by name, and the value of each control that no such choice explains.
export function written(chosen, values, farm, system) {
  const parts = [
    ...Object.entries(chosen).map(([kind, name]) => [kind, name || OWN]),
    ...Object.entries(values),
    ["farm", farm],
    ["units", system],
  ];
  return parts.map(([key, value]) => `${escaped(key)}=${escaped(value)}`).join("&");
}

// Old names of controls and practices, which older links have, are read as the new ones.
export function read(hash, { names, practices }) {
  const given = [...new URLSearchParams(hash.replace(/^#/, "")).entries()];
  const now = given.map(([name, value]) => [names[name] ?? name, value]);
  return new Map(now.map(([name, value]) => [name, name.endsWith("/practice") ? (practices[value] ?? value) : value]));
}

export function keep(text) {
  history.replaceState(null, "", `#${text}`);
}

function escaped(text) {
  return encodeURIComponent(text).replaceAll("%2F", "/").replaceAll("%20", "+");
}
