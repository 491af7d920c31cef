// Elements made and filled. Text goes in as text only, so that markup in a name stays what it is: letters.

const SVG = "http://www.w3.org/2000/svg";

function filled(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
}

export function make(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

export function drawn(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

/** @returns {any} */
export function byId(id) {
  return document.getElementById(id);
}

/** @returns {any[]} */
export function all(selector) {
  return [...document.querySelectorAll(selector)];
}

// What lengths are in, in words.
export function inWords(unit) {
  return unit === "in" ? "inches" : unit;
}

// A group of buttons of which one is pressed.
export function choice(place, options, chosen, choose) {
  place.replaceChildren(
    ...options.map(([value, words]) =>
      make("button", { type: "button", "aria-pressed": String(value === chosen), onclick: () => choose(value) }, words),
    ),
  );
}
