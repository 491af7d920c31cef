// What compare tells of each kept plan first: one table for each axle, the car as measured in its first rows.

import { byId, make } from "./elements.js";

export function showPlansTold(told) {
  const head = told.axles.length ? [make("h3", {}, "What each of them does")] : [];
  const words = told.axles.length ? [make("p", { class: "soft" }, told.said)] : [];
  byId("plans-told").replaceChildren(...head, ...words, ...told.axles.map((one, place) => table(one, place === 0)));
}

// whole: what holds for the whole car stands with the first axle alone.
function table({ axle, heads, rows }, whole) {
  return make(
    "table",
    { "data-axle": axle },
    make("caption", {}, `${axle} axle`),
    make("thead", {}, make("tr", {}, ...heads.map(column))),
    ...rows.map((one) => plan(one, whole, heads.length)),
  );
}

function column({ title, unit, allowed }) {
  const ranges = allowed.length ? allowed : ["no limit"];
  return make("th", { scope: "col" }, unit ? `${title} [${unit}]` : title, ...ranges.map((one) => make("small", {}, one)));
}

function plan(row, whole, wide) {
  const held = [make("span", { class: row.holds ? "good" : "bad" }, row.held), `: ${row.decides}`];
  const head = make("th", { scope: "rowgroup", colspan: wide }, row.name, ...(whole ? [make("small", {}, ...held)] : []));
  return make("tbody", { "data-plan": row.name }, make("tr", {}, head), make("tr", {}, ...row.cells.map(cell)));
}

function cell(lines) {
  return make("td", {}, ...lines.map(line));
}

function line({ words, holds, sentence }, place) {
  const mark = holds === null ? [] : [" ", make("span", { class: holds ? "good" : "bad" }, holds ? "ok" : "OUT")];
  return make(place ? "small" : "div", { title: sentence }, words, ...mark);
}
