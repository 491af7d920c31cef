// Rows with a slider and a field for the same amount; both can be worked by keyboard.

import { make } from "./elements.js";

// told: key, title, sign, unit, most (or low and high), step. changed(key, value) is called at each move.
export function sliderRow(told, value, changed) {
  const id = `slide-${told.key.replace(/[^a-z]+/g, "-")}`;
  const rest = told.rest ?? 0;
  const low = told.low ?? -told.most;
  const high = told.high ?? told.most;
  const ends = { min: low, max: high, step: told.step };
  const slide = make("input", { type: "range", id, ...ends, "aria-describedby": `${id}-sign` });
  const field = make("input", { type: "number", ...ends, "aria-label": `${told.title} [${told.unit}]` });
  const set = (to, from) => {
    const asked = String(to).trim() === "" || Number.isNaN(Number(to)) ? rest : Number(to);
    const held = Math.min(Math.max(asked, low), high);
    slide.value = held;
    slide.setAttribute("aria-valuetext", `${held} ${told.unit}`);
    if (from !== field) field.value = shown(held);
    row.classList.toggle("moved", held !== rest);
    return held;
  };
  const moved = (from) => changed(told.key, set(from.value, from));
  slide.addEventListener("input", () => moved(slide));
  field.addEventListener("input", () => moved(field));
  field.addEventListener("blur", () => set(field.value, null));
  const back = make("button", { type: "button", class: "back", "aria-label": `${told.title} back to ${shown(rest)}` }, shown(rest));
  back.addEventListener("click", () => changed(told.key, set(rest, null)));
  const row = make(
    "div",
    { class: "slider", "data-key": told.key },
    make("div", { class: "head" }, make("label", { for: id }, told.title), make("span", { class: "sign", id: `${id}-sign` }, told.sign)),
    slide,
    make("span", { class: "amount" }, field, make("span", { class: "unit" }, told.unit), back),
    make("div", { class: "beside" }),
  );
  set(value, null);
  return row;
}

// A number as it is written in a field: without the digits that only a computer makes.
function shown(value) {
  return String(Number(value.toPrecision(8)));
}
