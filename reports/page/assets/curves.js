// The curves over travel and roll: of the car as it is tried, pale as measured, and of kept plans beside it.

import { Chart } from "./chart.js";
import { byId } from "./elements.js";

const CHARTS = [["force_weighted_height", "roll_centre_height"], ["camber"], ["toe"]];

export class Curves {
  constructor(beside) {
    this.beside = beside;
    this.charts = [];
    this.told = null;
  }

  // For an axle: what is told of each number that has a curve.
  make(told, unit) {
    const about = (keys) => keys.map((key) => told.find((one) => one.key === key));
    this.charts = CHARTS.flatMap((keys) => ["travel", "roll"].map((over) => new Chart(about(keys), over, unit)));
    byId("charts").replaceChildren(...this.charts.map((chart) => chart.element));
  }

  show(told, pose) {
    this.told = told;
    for (const chart of this.charts) {
      const of = (curves) => curves?.find((one) => one.over === chart.over) ?? null;
      const others = (told.plans ?? []).filter((one) => one.curves);
      const planned = others.map((one) => ({ name: one.name, look: this.beside.look(one.name), table: of(one.curves) }));
      chart.show(of(told.curves), chart.over === "travel" ? -(pose.heave ?? 0) : (pose.roll ?? 0), of(told.ghost?.curves), planned);
    }
    this.#words(false);
  }

  // The band of doubt round each.
  band(bands) {
    for (const chart of this.charts) chart.band(bands.find((one) => one.over === chart.over) ?? null);
    this.#words(bands.length > 0);
  }

  #words(banded) {
    const missing = new Set((this.told?.curves ?? []).flatMap((one) => one.missing));
    const words = ["Left: blue. Right: orange, dashed."];
    if (this.told?.ghost) words.push("Pale: as measured.");
    if (banded) words.push("Shaded: where 95 of 100 such measurements lie.");
    byId("curves-words").textContent = [...words, ...missing].join(" ");
  }
}
