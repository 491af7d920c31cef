// The trade-off as points to click: how far the body is lowered or raised, and the margin that is then left.

import { drawn } from "./elements.js";
import { linear, span, ticks, written } from "./scale.js";

const WIDE = 420;
const TALL = 190;
const LEFT = 46;
const BELOW = 34;

// plans: what the search tells of each; take(plan) takes one up.
export function tradeOff(plans, unit, take) {
  const across = span(plans.map((one) => one.raised), 1);
  const up = span(plans.map((one) => one.worst), 10);
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
    ...plans.map((one) => point(one, x(one.raised), y(one.worst), take)),
  );
}

function point(plan, x, y, take) {
  const words = `${plan.words}; worst margin ${plan.margin}`;
  const pressed = (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    take(plan);
  };
  const named = { role: "button", tabindex: 0, "aria-label": words, onclick: () => take(plan), onkeydown: pressed };
  return drawn("circle", { class: plan.holds ? "point good" : "point", cx: x, cy: y, r: 7, ...named }, drawn("title", {}, words));
}
