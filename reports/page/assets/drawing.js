// A view to scale: the server's shapes drawn as they are, in mm, over a pale ghost of the car as measured.

import { drawn } from "./elements.js";

const LETTERS = 13; // px
const JOINT = 3.5;
const FAR = 2.5;
const CENTRE = 6;

const LEGEND = [
  ["arm", "arm"],
  ["strut", "strut axis"],
  ["link", "link"],
  ["guide", "arm line, strut normal"],
  ["contact", "contact point to roll centre"],
  ["onward", "to the instant centre"],
  ["axis", "roll axis"],
  ["allowed", "roll centre allowed"],
];

export class Drawing {
  constructor(place, words) {
    this.place = place;
    this.words = words;
    this.shown = null;
    this.points = new Set();
    new ResizeObserver(() => this.#redraw()).observe(place);
  }

  // The joints that are being moved or asked for stand out; one alone can be reached by keyboard.
  choose(...points) {
    this.points = new Set(points);
    this.#redraw();
  }

  // movable: whether the joint that is chosen can be moved.
  // planned: kept plans in the same view, each with its look.
  show(view, frame, ghost = null, planned = [], movable = true) {
    this.shown = { view, frame, ghost, planned };
    this.movable = movable;
    this.#redraw();
  }

  #redraw() {
    if (this.shown === null) return;
    const { view, frame, ghost, planned } = this.shown;
    const wide = frame.right - frame.left;
    const tall = frame.top - frame.bottom;
    this.place.setAttribute("viewBox", `${frame.left} ${-frame.top} ${wide} ${tall}`);
    const box = this.place.getBoundingClientRect();
    const scale = Math.max(wide / (box.width || 600), tall / (box.height || 400)); // mm a pixel
    const parts = view.shapes.map((shape) => outline(shape, shape.look));
    const pale = ghost === null ? [] : ghost.shapes.filter(isOfTheCar).map((shape) => outline(shape, "ghost"));
    const others = planned.filter((one) => one.view !== null);
    const beside = others.flatMap((one) => one.view.shapes.filter(isOfTheCar).map((shape) => outline(shape, one.look)));
    const centres = others.flatMap((one) => one.view.marks.filter((other) => other.look === "roll-centre").map((other) => ({ ...other, look: `${one.look} centre`, words: `${one.name}: ${other.words}` })));
    const under = parts.filter((_, i) => view.shapes[i].look === "allowed");
    const over = parts.filter((_, i) => view.shapes[i].look !== "allowed");
    const active = document.activeElement;
    const held = active instanceof SVGElement && active.dataset.point ? { ...active.dataset } : null;
    const ghostly = ghost === null ? [] : ghost.marks.filter((one) => one.look === "roll-centre");
    this.place.replaceChildren(
      drawn("title", { id: "drawing-title" }, this.words.textContent),
      ...under,
      ...pale,
      ...beside,
      ...over,
      ...ghostly.map((one) => mark({ ...one, look: "ghost-centre" }, scale)),
      ...centres.map((one) => mark(one, scale)),
      ...view.marks.map((one) => mark(one, scale, this.points, this.movable && this.points.size === 1)),
      ...view.marks.filter((one) => one.look === "roll-centre").map((one) => label(one, frame, scale)),
    );
    // A joint that had the keyboard has it again, drawn anew.
    if (held) this.place.querySelector(`[data-point="${held.point}"][data-side="${held.side}"]`)?.focus();
  }
}

const ON_PAPER_ONLY = new Set(["allowed", "ground", "middle", "guide", "onward", "contact", "axis"]);

function isOfTheCar(shape) {
  return !ON_PAPER_ONLY.has(shape.look);
}

function outline(shape, look) {
  if (shape.at !== undefined) {
    const [u, v] = shape.at;
    return drawn("circle", { class: look, cx: u, cy: -v, r: shape.radius });
  }
  const path = shape.path.map(([u, v], i) => `${i ? "L" : "M"}${u} ${-v}`).join("");
  return drawn("path", { class: look, d: shape.closed ? `${path}Z` : path });
}

function mark(one, scale, chosen = new Set(), movable = false) {
  const [u, v] = one.at;
  const size = ({ joint: JOINT, "far-joint": FAR }[one.look] ?? CENTRE) * scale;
  const named = one.point ? { "data-point": one.point, "data-side": one.side } : {};
  const told = one.words ?? `${one.side} ${one.point.replaceAll("_", " ")}`;
  const isChosen = chosen.has(one.point);
  if (isChosen && movable) {
    Object.assign(named, { tabindex: 0, role: "button", "aria-label": `${told}: move it with the arrow keys` });
  }
  const look = isChosen ? `${one.look} chosen` : one.look;
  return drawn("circle", { class: look, cx: u, cy: -v, r: size, ...named }, drawn("title", {}, told));
}

function label(one, frame, scale) {
  const [u, v] = one.at;
  const size = LETTERS * scale;
  const inside = u > frame.left && u < frame.right && v > frame.bottom && v < frame.top;
  if (!inside) return drawn("g");
  const beside = v < 0 ? 22 : -13; // under the ground the words stand below, or they would cross it
  const at = { x: u, y: -v + beside * scale, "font-size": size };
  const half = 0.3 * size * one.words.length; // of the words, about
  let anchor = "middle";
  if (u + half > frame.right) anchor = "end";
  else if (u - half < frame.left) anchor = "start";
  return drawn("text", { class: "label", "text-anchor": anchor, ...at }, one.words);
}

// What the legend names of a view, in its order.
export function legendOf(view, name) {
  const there = new Set(view.shapes.map((shape) => shape.look));
  const words = name === "side" ? { contact: "contact point to instant centre" } : {};
  return LEGEND.filter(([look]) => there.has(look)).map(([look, usual]) => [look, words[look] ?? usual]);
}
