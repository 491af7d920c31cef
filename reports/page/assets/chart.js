// One chart: curves of a number, or of two of a kind, over travel or roll, with the range allowed and where it stands.

import { drawn, make } from "./elements.js";
import { grown, linear, reach, span, ticks, written } from "./scale.js";

const TALL = 190; // px
const LEFT = 52;
const RIGHT = 10;
const TOP = 10;
const BELOW = 34;
const MOST_ALLOWED = 4; // times as wide as the curves: more would press them flat
const MOST_BANDED = 1.9; // less than twice: the axis stays where it is until the band comes again
let charts = 0;

export class Chart {
  // numbers: what the server tells of each number drawn, the one that counts first; over: "travel" or "roll".
  constructor(numbers, over, unit) {
    this.numbers = numbers;
    this.over = over;
    this.unit = unit;
    this.clip = `plot-${(charts += 1)}`;
    this.paper = drawn("svg", { class: "chart", role: "img", height: TALL });
    this.beyond = make("span", { class: "beyond" });
    this.words = make("figcaption", {}, ...this.#caption(), this.beyond);
    this.element = make("figure", {}, this.words, this.paper);
    this.ends = null;
    this.shown = null;
    new ResizeObserver(() => this.#redraw()).observe(this.element);
  }

  #caption() {
    const [first, ...others] = this.numbers;
    const unit = first.unit ? ` [${first.unit}]` : "";
    const words = [make("strong", {}, first.title), `${unit} over ${this.over === "travel" ? "wheel travel" : "roll"}`];
    if (others.length) words.push(make("span", { class: "thin" }, ` thin: ${others[0].title}`));
    return words;
  }

  // ghost: the curves as measured under those tried; planned: those of kept plans, each with its look.
  show(table, here, ghost = null, planned = []) {
    if (ghost === null && this.shown?.ghost) this.ends = null; // as measured again
    this.shown = { table, here, ghost, planned, band: null };
    this.#redraw();
  }

  // Round the curves as measured: where 95 of 100 such measurements lie; null where that is not known.
  band(band) {
    if (this.shown === null) return;
    this.shown.band = band;
    this.#redraw();
  }

  #lines(table, key) {
    return table.lines.filter((line) => line.key === key);
  }

  // The axis holds the curves that count, what is allowed, and the band, as far as the curves stay readable beside them.
  // It grows as they do, so that it does not jump, and comes back once they fill less than half of it.
  #span(table, ghost, planned, band) {
    const first = this.numbers[0];
    const least = LEAST[first.key] ?? 1;
    const both = [table, ...(ghost === null ? [] : [ghost]), ...planned.map((one) => one.table)];
    const values = both.flatMap((one) => this.#lines(one, first.key)).flatMap((line) => reach(line.values, least));
    const curves = span(values, least);
    const allowed = Object.values(first.allowed[this.over] ?? {});
    const ends = grown(span(grown(curves, allowed, MOST_ALLOWED), least), this.#banded(band), MOST_BANDED);
    const before = this.ends;
    const kept = before !== null && ends[1] - ends[0] > (before[1] - before[0]) / 2;
    this.ends = kept ? [Math.min(ends[0], before[0]), Math.max(ends[1], before[1])] : ends;
    return this.ends;
  }

  // What runs out of the picture is said, with the numbers that are not seen.
  #saysBeyond(table, planned, band, ends) {
    const of = (one, number) => (number ? this.#lines(one, number.key).flatMap((line) => line.values) : []);
    const [first, second] = this.numbers;
    this.beyond.textContent = [
      beyond("The shaded band", this.#banded(band), ends),
      beyond("The curve", of(table, first), ends),
      beyond("The thin curve", of(table, second), ends),
      ...planned.map((one) => beyond(one.name, of(one.table, first), ends)),
    ].join("");
  }

  #redraw() {
    if (this.shown === null || this.element.clientWidth === 0) return;
    const { table, here, ghost, planned, band } = this.shown;
    const wide = this.element.clientWidth;
    const across = [table.at[0], table.at[table.at.length - 1]];
    const up = this.#span(table, ghost, planned, band);
    this.#saysBeyond(table, planned, band, up);
    const x = linear(across, [LEFT, wide - RIGHT]);
    const y = linear(up, [TALL - BELOW, TOP]);
    this.paper.setAttribute("viewBox", `0 0 ${wide} ${TALL}`);
    this.paper.setAttribute("width", wide);
    this.paper.setAttribute("aria-label", this.words.textContent);
    const inside = drawn("g", { "clip-path": `url(#${this.clip})` }, ...this.#allowed(y, wide));
    if (band !== null) inside.append(...this.#bands(table, band, x, y));
    if (ghost !== null) inside.append(...this.#curves(ghost, x, y, "pale"));
    for (const one of planned) inside.append(...this.#curves(one.table, x, y, one.look, this.numbers.slice(0, 1)));
    inside.append(...this.#curves(table, x, y, ""));
    inside.append(drawn("line", { class: "here", x1: x(here), x2: x(here), y1: TOP, y2: TALL - BELOW }));
    const box = { x: LEFT, y: TOP, width: Math.max(wide - LEFT - RIGHT, 1), height: TALL - TOP - BELOW };
    this.paper.replaceChildren(
      drawn("clipPath", { id: this.clip }, drawn("rect", box)),
      ...this.#axes(across, up, x, y, wide),
      inside,
      drawn("rect", { class: "box", ...box }),
    );
  }

  #allowed(y, wide) {
    const range = this.numbers[0].allowed[this.over];
    if (!range) return [];
    const low = range.low === null ? TALL : Math.min(Math.max(y(range.low), -TALL), 2 * TALL);
    const high = range.high === null ? 0 : Math.min(Math.max(y(range.high), -TALL), 2 * TALL);
    return [drawn("rect", { class: "allowed", x: 0, y: high, width: wide, height: Math.max(low - high, 0) })];
  }

  #banded(band) {
    const lines = band === null ? [] : band.lines.filter((line) => line.key === this.numbers[0].key);
    return lines.flatMap((line) => [...line.low, ...line.high]).filter((one) => one !== null);
  }

  #bands(table, band, x, y) {
    return band.lines
      .filter((line) => line.key === this.numbers[0].key)
      .map((line) => drawn("path", { class: `band ${line.side}`, d: between(table.at, line, x, y) }));
  }

  #curves(table, x, y, paleness, numbers = this.numbers) {
    return numbers.toReversed().flatMap((number) =>
      this.#lines(table, number.key).map((line) => {
        const which = number === this.numbers[0] ? "first" : "second";
        return drawn("path", { class: `curve ${which} ${line.side} ${paleness}`, d: through(table.at, line.values, x, y) });
      }),
    );
  }

  #axes(across, up, x, y, wide) {
    const below = ticks(...across, wide < 320 ? 4 : 6);
    const beside = ticks(...up, 5);
    const unit = this.over === "travel" ? `bump [${this.unit}]` : "roll [deg]";
    return [
      ...below.at.map((one) => drawn("line", { class: "grid", x1: x(one), x2: x(one), y1: TOP, y2: TALL - BELOW })),
      ...beside.at.map((one) => drawn("line", { class: "grid", x1: LEFT, x2: wide - RIGHT, y1: y(one), y2: y(one) })),
      ...below.at.map((one) =>
        drawn("text", { class: "tick", "text-anchor": "middle", x: x(one), y: TALL - BELOW + 14 }, written(one, below.step)),
      ),
      ...beside.at.map((one) =>
        drawn("text", { class: "tick", "text-anchor": "end", x: LEFT - 5, y: y(one) + 4 }, written(one, beside.step)),
      ),
      drawn("text", { class: "tick", "text-anchor": "end", x: wide - RIGHT, y: TALL - 5 }, unit),
    ];
  }
}

const LEAST = { force_weighted_height: 20, camber: 0.5, toe: 0.2 }; // of an axis, in mm or degrees

// That values lie beyond the ends of an axis, in words; nothing where all lie between.
function beyond(name, values, [low, high]) {
  const known = values.filter((one) => one !== null);
  const [least, most] = [Math.min(...known), Math.max(...known)];
  if (known.length === 0 || (least >= low && most <= high)) return "";
  const { step } = ticks(least, most, 50);
  return ` ${name} runs beyond this picture: ${written(least, step)} to ${written(most, step)}.`;
}

// The room between two lines, in pieces where there is nothing.
function between(at, { low, high }, x, y) {
  const pieces = [[]];
  low.forEach((one, i) => {
    if (one === null || high[i] === null) pieces.push([]);
    else pieces.at(-1).push(i);
  });
  const place = (i, value) => `${x(at[i]).toFixed(1)} ${Math.min(Math.max(y(value), -1e4), 1e4).toFixed(1)}`;
  const outline = (piece) => [...piece.map((i) => place(i, low[i])), ...piece.toReversed().map((i) => place(i, high[i]))];
  return pieces.filter((piece) => piece.length > 1).map((piece) => `M${outline(piece).join("L")}Z`).join("");
}

// A line through the states, broken where there is nothing.
function through(at, values, x, y) {
  let broken = true;
  let path = "";
  values.forEach((value, i) => {
    if (value === null) {
      broken = true;
      return;
    }
    path += `${broken ? "M" : "L"}${x(at[i]).toFixed(1)} ${Math.min(Math.max(y(value), -1e4), 1e4).toFixed(1)}`;
    broken = false;
  });
  return path;
}
