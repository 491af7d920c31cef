// Rows with a slider and a field for the same amount; both can be worked by keyboard.

import { busily } from "./busy.js";
import { make } from "./elements.js";
import { post } from "./server.js";

const PLAIN = /^[+-]?(\d+\.?\d*|\.\d+)$/; // anything else the server reads, as it reads a file
const LONG = 6; // letters of a number that a box beside a slider, or a small button, holds
const PARTS = 64; // of an inch

// told: key, title, sign, unit, most (or low and high), step, fractions. changed(value) is called at each move.
// element: the row; stand(value, anew): what is in force, anew: whatever is being typed.
export function sliderRow(told, value, changed) {
  const id = `slide-${told.key.replace(/[^a-z]+/g, "-")}`;
  const rest = told.rest ?? 0;
  const low = told.low ?? -told.most;
  const high = told.high ?? told.most;
  const words = (one) => shown(one, told.fractions);
  const slide = make("input", { type: "range", id, ...onSteps(low, high, told.step), "aria-describedby": `${id}-sign` });
  const unread = make("p", { class: "bad unread", id: `${id}-unread`, "aria-live": "polite" });
  const field = make("input", { type: "text", autocomplete: "off", "aria-label": `${told.title} [${told.unit}]`, "aria-describedby": unread.id });
  let held = rest;
  let typed = 0;
  let reading = false; // the server reads what was typed
  const refuse = (why) => {
    unread.textContent = why && `${why}; until then it stays at ${words(held)} ${told.unit}`;
    if (why) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  };
  const show = (to, inBox) => {
    held = to;
    slide.value = to;
    slide.setAttribute("aria-valuetext", `${words(to)} ${told.unit}`);
    if (inBox) field.value = words(to);
    row.classList.toggle("moved", to !== rest);
  };
  const set = (to, from) => {
    show(to, from !== field);
    typed += 1; // what is still being read counts no more
    reading = false;
    refuse("");
    return to;
  };
  const stand = (to, anew) => {
    if (reading && !anew) show(to, false); // what is typed is newer, and comes in force once it is read
    else if (anew || to !== held) set(to, null);
  };
  const type = async () => {
    typed += 1;
    const mine = typed;
    reading = true;
    const read = await amount(field.value.trim(), rest, told.unit);
    if (mine !== typed) return;
    reading = false;
    const outside = read.value < low || read.value > high;
    const why = read.words || (outside ? `read ${words(read.value)}; ${words(low)} to ${words(high)} ${told.unit} is as far as it goes here` : "");
    if (why) refuse(why);
    else changed(set(read.value, field));
  };
  slide.addEventListener("input", () => changed(set(Number(slide.value), slide)));
  field.addEventListener("input", () => busily(type));
  field.addEventListener("blur", () => field.value.trim() === "" && set(held, null));
  const back = make("button", { type: "button", class: "back", "aria-label": `${told.title} back to ${words(rest)}` }, words(rest).length > LONG ? "back" : words(rest));
  back.addEventListener("click", () => changed(set(rest, null)));
  const row = make(
    "div",
    { class: words(rest).length > LONG ? "slider long" : "slider", "data-key": told.key },
    make("div", { class: "head" }, make("label", { for: id }, told.title), make("span", { class: "sign", id: `${id}-sign` }, told.sign)),
    slide,
    make("span", { class: "amount" }, field, make("span", { class: "unit" }, told.unit), back),
    unread,
    make("div", { class: "beside" }),
  );
  set(value, null);
  return { element: row, stand };
}

// What was typed: { value }, or { words } where it cannot be read.
async function amount(text, rest, unit) {
  if (text === "") return { value: rest };
  if (PLAIN.test(text)) return { value: Number(text) };
  try {
    return await post("amount", { typed: text, unit });
  } catch (error) {
    return { words: error.message };
  }
}

// The ends of a slider on whole steps from zero, so that it can rest there; what lies beyond can be typed.
function onSteps(low, high, step) {
  if (step === "any") return { min: low, max: high, step };
  return { min: Math.ceil(low / step - 1e-9) * step, max: Math.floor(high / step + 1e-9) * step, step };
}

// A number as it is written in a field: as its owner's tape has it, or without the digits that only a computer makes.
function shown(value, fractions) {
  const parts = Math.round(Math.abs(value) * PARTS);
  if (!fractions || Math.abs(Math.abs(value) * PARTS - parts) > 1e-6 || parts % PARTS === 0) return String(Number(value.toPrecision(8)));
  const whole = Math.floor(parts / PARTS);
  let [over, under] = [parts % PARTS, PARTS];
  while (over % 2 === 0) [over, under] = [over / 2, under / 2];
  return `${value < 0 ? "-" : ""}${whole ? `${whole} ` : ""}${over}/${under}`;
}
