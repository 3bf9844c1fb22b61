// Elements from values; text is always set as text, never read as markup.

export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children.flat().filter((child) => child !== null));
  return element;
}

export function drawn(name, attributes) {
  const shape = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) shape.setAttribute(key, String(value));
  return shape;
}

export function fill(element, ...children) {
  element.replaceChildren(...children.filter((child) => child !== null));
}

export function byId(id) {
  return document.getElementById(id);
}

export function say(words) {
  byId("said").textContent = words;
}
