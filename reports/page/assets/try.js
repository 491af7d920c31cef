// The part where changes are tried: their sliders, what stands beside each, and what is in the way of all.

import { byId, make } from "./elements.js";
import { SliderRows } from "./slider_rows.js";

const SEVERAL = new Set(["inner pivots", "tie-rod inner", "strut top", "link length", "point"]); // fold their sliders

export class Try {
  // changes: what is tried; changed() is called when a slider was moved, pointed(point) when one is chosen.
  constructor(changes, changed, pointed) {
    this.changes = changes;
    this.changed = changed;
    this.pointed = pointed;
    this.point = null;
    this.chosen = byId("point");
    const value = (offer) => changes.value(offer);
    const slide = (offer, to) => {
      changes.slide(offer, to);
      changed();
    };
    this.offers = new SliderRows(byId("offers"), value, slide, grouped);
    this.ofPoint = new SliderRows(byId("point-offers"), value, slide);
    this.chosen.addEventListener("change", () => this.choosePoint(this.chosen.value));
  }

  // anew: what is tried was taken as a whole.
  show(told, anew = false) {
    this.told = told;
    this.offers.show(told.offers.filter((one) => !one.of_a_point), anew);
    for (const { told: offer, element } of this.offers.all) {
      const group = element.closest("details");
      if (group && this.changes.value(offer) !== offer.rest) group.open = true;
    }
    const points = [...new Set(told.offers.filter((one) => one.of_a_point).map((one) => one.entry.point))];
    const moved = this.changes.asked.changes.find((one) => one.what === "point" && one.axle === told.axle);
    this.chosen.replaceChildren(
      make("option", { value: "" }, "choose a point"),
      ...points.map((one) => make("option", { value: one }, one.replaceAll("_", " "))),
    );
    this.choosePoint(points.includes(this.point) ? this.point : (moved?.point ?? ""), anew);
  }

  // What is tried is another: every slider stands where it is.
  follow() {
    this.offers.follow();
    this.ofPoint.follow();
  }

  // The slider of one way of a point, where the axle has one.
  offerOf(point, way) {
    return this.told.offers.find((one) => one.of_a_point && one.entry.point === point && one.way === way);
  }

  // A point moved in the drawing, as far as its slider goes and by its steps.
  movePoint(point, way, value) {
    const offer = this.offerOf(point, way);
    if (!offer) return;
    const held = Math.min(Math.max(Math.round(value / offer.step) * offer.step, offer.low), offer.high);
    if (held === this.changes.value(offer)) return;
    this.changes.slide(offer, held);
    this.choosePoint(point);
    this.changed();
  }

  choosePoint(point, anew = false) {
    this.point = point;
    this.pointed(point);
    this.chosen.value = point;
    this.ofPoint.show(this.told.offers.filter((one) => one.of_a_point && one.entry.point === point), anew);
  }

  // What each change causes, beside its slider; an entry with three ways has its words at the last that is moved.
  beside(told) {
    const rows = [...this.offers.all, ...this.ofPoint.all];
    for (const { element } of rows) element.querySelector(".beside").replaceChildren();
    for (const one of told?.beside ?? []) {
      const moved = rows.filter(
        ({ told: offer }) =>
          offer.entry.axle === one.entry.axle &&
          offer.entry.what === one.entry.what &&
          (offer.entry.point ?? "") === one.entry.point &&
          this.changes.value(offer) !== offer.rest,
      );
      moved.at(-1)?.element.querySelector(".beside").replaceChildren(...besideWords(one));
    }
    const all = byId("in-the-way");
    const lines = told ? [...told.in_the_way.map((words) => ["bad", `Cannot be so: ${words}.`]), ...told.adjusted.map((words) => ["", `Set back by ${words}.`])] : [];
    all.replaceChildren(...lines.map(([look, words]) => make("p", { class: look }, words)));
  }
}

function besideWords(one) {
  const words = [
    ...one.broken.map((text) => make("p", { class: "bad" }, `Against a rule: ${text}`)),
    ...one.costs.map((text) => make("p", {}, text)),
  ];
  if (one.does) words.push(make("p", {}, one.does));
  words.push(make("p", { class: "caution", title: one.caution_in_full }, `Check: ${one.caution}`));
  return words;
}

// Kinds of change that have many sliders are folded.
function grouped(rows) {
  const found = new Map();
  for (const { told, element } of rows) found.set(told.entry.what, [...(found.get(told.entry.what) ?? []), element]);
  return [...found].map(([what, elements]) => (SEVERAL.has(what) ? make("details", {}, make("summary", {}, what), ...elements) : make("div", {}, ...elements)));
}
