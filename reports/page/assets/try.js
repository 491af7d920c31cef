// The part where changes are tried: their sliders, what stands beside each, and what is in the way of all.

import { byId, make } from "./elements.js";
import { sliderRow } from "./sliders.js";

const SEVERAL = new Set(["inner pivots", "tie-rod inner", "strut top", "link length", "point"]); // fold their sliders

export class Try {
  // changes: what is tried; changed() is called when a slider was moved, pointed(point) when one is chosen.
  constructor(changes, changed, pointed) {
    this.changes = changes;
    this.changed = changed;
    this.pointed = pointed;
    this.rows = new Map();
    this.point = null;
    this.chosen = byId("point");
    this.chosen.addEventListener("change", () => this.choosePoint(this.chosen.value));
  }

  show(told) {
    this.told = told;
    this.rows.clear();
    const groups = grouped(told.offers.filter((one) => !one.of_a_point));
    byId("offers").replaceChildren(...[...groups].map(([what, offers]) => this.#group(what, offers)));
    const points = [...new Set(told.offers.filter((one) => one.of_a_point).map((one) => one.entry.point))];
    const moved = this.changes.asked.changes.find((one) => one.what === "point" && one.axle === told.axle);
    this.chosen.replaceChildren(
      make("option", { value: "" }, "choose a point"),
      ...points.map((one) => make("option", { value: one }, one.replaceAll("_", " "))),
    );
    this.choosePoint(points.includes(this.point) ? this.point : (moved?.point ?? ""));
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

  choosePoint(point) {
    this.point = point;
    this.pointed(point);
    this.chosen.value = point;
    const offers = this.told.offers.filter((one) => one.of_a_point && one.entry.point === point);
    byId("point-offers").replaceChildren(...offers.map((one) => this.#row(one)));
  }

  #group(what, offers) {
    const rows = offers.map((one) => this.#row(one));
    if (!SEVERAL.has(what)) return make("div", {}, ...rows);
    const open = offers.some((one) => this.changes.value(one) !== one.rest);
    return make("details", { open }, make("summary", {}, what), ...rows);
  }

  #row(offer) {
    const row = sliderRow(offer, this.changes.value(offer), (_, value) => {
      this.changes.slide(offer, value);
      this.changed();
    });
    this.rows.set(offer.key, { row, offer });
    return row;
  }

  // What each change causes, beside its slider; an entry with three ways has its words at the last that is moved.
  beside(told) {
    for (const { row } of this.rows.values()) row.querySelector(".beside").replaceChildren();
    for (const one of told?.beside ?? []) {
      const moved = [...this.rows.values()].filter(
        ({ offer }) =>
          offer.entry.axle === one.entry.axle &&
          offer.entry.what === one.entry.what &&
          (offer.entry.point ?? "") === one.entry.point &&
          this.changes.value(offer) !== offer.rest,
      );
      moved.at(-1)?.row.querySelector(".beside").replaceChildren(...besideWords(one));
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

function grouped(offers) {
  const found = new Map();
  for (const one of offers) found.set(one.entry.what, [...(found.get(one.entry.what) ?? []), one]);
  return found;
}
