// The trade-off as points to click: how far the body is lowered or raised, and the margin that is then left.

import { drawn } from "./elements.js";
import { linear, span, ticks, written } from "./scale.js";

const WIDE = 420;
const TALL = 190;
const LEFT = 46;
const BELOW = 34;
const DEEP = 2; // times what the better half of the plans spans: what lies deeper is marked at the edge

// plans: what the search tells of each; take(plan) takes one up.
export function tradeOff(plans, unit, take) {
  const across = span(plans.map((one) => one.raised), 1);
  const floor = deepest(plans.map((one) => one.worst));
  const up = span(plans.map((one) => Math.max(one.worst, floor)), 10);
  const x = linear(across, [LEFT, WIDE - 10]);
  const y = linear(up, [TALL - BELOW, 8]);
  const below = ticks(...across, 6);
  const beside = ticks(...up, 5);
  return drawn(
    "svg",
    { class: "chart trade-off", viewBox: `0 0 ${WIDE} ${TALL}`, role: "group", "aria-label": "Plans by ride height and worst margin" },
    ...below.at.map((one) => drawn("text", { class: "tick", "text-anchor": "middle", x: x(one), y: TALL - BELOW + 14 }, written(one, below.step))),
    ...beside.at.map((one) => drawn("line", { class: "grid", x1: LEFT, x2: WIDE - 10, y1: y(one), y2: y(one) })),
    ...beside.at.map((one) => drawn("text", { class: "tick", "text-anchor": "end", x: LEFT - 5, y: y(one) + 4 }, written(one, beside.step))),
    drawn("text", { class: "tick", "text-anchor": "end", x: WIDE - 10, y: TALL - 4 }, `body raised [${unit}]; worst margin [% of its range]`),
    ...plans.map((one) => (one.worst < floor ? beyond(one, x(one.raised), take) : point(one, x(one.raised), y(one.worst), take))),
  );
}

// How deep the axis goes: one plan far below all others would press them together.
function deepest(margins) {
  const best = margins.toSorted((one, other) => other - one);
  const middle = best[Math.floor((best.length - 1) / 2)];
  return middle - DEEP * Math.max(best[0] - middle, 5);
}

// A plan below the picture: a point that shows down at its edge, with the margin that it has.
function beyond(plan, x, take) {
  const foot = TALL - BELOW;
  const words = `${written(plan.worst, 1)} %`;
  const beside = x > WIDE / 2 ? { "text-anchor": "end", x: x - 11 } : { x: x + 11 };
  const arrow = { d: `M${x - 8} ${foot - 13}H${x + 8}L${x} ${foot - 1}Z` };
  return drawn("g", {}, pressable("path", plan, arrow, take), drawn("text", { class: "tick", y: foot - 4, ...beside }, words));
}

function point(plan, x, y, take) {
  return pressable("circle", plan, { cx: x, cy: y, r: 7 }, take);
}

function pressable(tag, plan, place, take) {
  const words = `${plan.words}; worst margin ${plan.margin}`;
  const pressed = (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    take(plan);
  };
  const named = { role: "button", tabindex: 0, "aria-label": words, onclick: () => take(plan), onkeydown: pressed };
  return drawn(tag, { class: plan.holds ? "point good" : "point", ...place, ...named }, drawn("title", {}, words));
}
