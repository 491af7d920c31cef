// The verdict on top, the checks with their margins, and the travel that is left.

import { byId } from "./elements.js";
import { checkRows, travelRows } from "./tables.js";

// What is tried is judged and not yet told.
export function outdated() {
  byId("verdict").classList.add("stale");
}

export function showMeasured(verdict) {
  show(verdict, verdict.headline, null);
}

// measured: the verdict on the car as measured, which each margin is set beside.
export function showTried(told, measured) {
  const same = told.checks.length === measured.checks.length;
  show(told, [told.headline, told.sure].filter(Boolean).join(" "), same ? measured.checks : null);
}

function show(told, headline, before) {
  byId("headline").textContent = headline;
  byId("verdict").className = told.holds ? "holds" : "out";
  byId("checks").tBodies[0].replaceChildren(...checkRows(told.checks, before));
}

// What is left of each corner's travel stands under the numbers of its axle.
export function showTravel(told, axle) {
  byId("travel-left").replaceChildren(...travelRows(told.rows[axle] ?? []));
  byId("travel-words").textContent = told.words;
}
