// The tables of the page: numbers where the axle stands, and the checks with the margin that is left.

import { make } from "./elements.js";

// known: title and meaning of each number by its key.
export function numberRows(numbers, known) {
  return numbers.map((number) => {
    const { title, meaning } = known[number.key];
    const head = make("th", { scope: "row", title: meaning }, title);
    const wide = number.words.length === 1 ? 2 : 1;
    const cells = number.words.map((words) => make("td", { colspan: wide }, words));
    return make("tr", { "data-key": number.key }, head, ...cells);
  });
}

export function travelRows(rows) {
  return rows.map((row) =>
    make("tr", { "data-key": row.key }, make("th", { scope: "row" }, row.title), ...row.words.map((words) => make("td", {}, words))),
  );
}

export function checkRows(checks, measured = null) {
  return checks.map((check, i) => {
    const before = measured?.[i];
    const words = [make("span", { class: "mark" }, check.holds ? "ok" : "OUT"), " ", `${check.axle} ${check.name}`];
    const place = make("small", {}, `${check.at}; allowed ${check.allowed}`);
    const margin = make("td", {}, bar(check, before), make("span", {}, check.margin));
    if (before && before.margin !== check.margin) margin.append(make("small", {}, `was ${before.margin}`));
    return make(
      "tr",
      { class: check.holds ? "holds" : "out", title: check.sentence },
      make("th", { scope: "row" }, ...words),
      make("td", {}, check.worst, place),
      margin,
    );
  });
}

// The margin as a bar from the end of the range: inside to the right, outside to the left; a tick where it was.
function bar(check, before) {
  const fill = make("i");
  fill.style.left = `${50 + 50 * Math.min(check.part, 0)}%`;
  fill.style.width = `${50 * Math.abs(check.part)}%`;
  const whole = make("span", { class: "margin", "aria-hidden": "true" }, fill);
  if (before) {
    const tick = make("b");
    tick.style.left = `${50 + 50 * before.part}%`;
    whole.append(tick);
  }
  return whole;
}

// Words in rows beneath heads, the first of each row its name.
export function plainTable(heads, rows) {
  const head = make("tr", {}, ...heads.map((one) => make("th", { scope: "col" }, one)));
  const body = rows.map(([first, ...cells]) => make("tr", {}, make("th", { scope: "row" }, first), ...cells.map((one) => make("td", {}, one))));
  return make("table", { class: "of-fit" }, make("thead", {}, head), make("tbody", {}, ...body));
}
