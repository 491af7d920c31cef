// What to measure next: for a number that is chosen, a list of readings with the doubt after each.

import { byId, make } from "./elements.js";
import { Newest } from "./newest.js";
import { post } from "./server.js";
import { plainTable } from "./tables.js";

const AT_REST = 500; // ms without a key
const FIRST = "roll_centre_height"; // until another number is chosen

export class Next {
  // typed(): what stands in the form of the readings and is not saved.
  constructor(typed, fail) {
    this.typed = typed;
    this.questions = new Newest((body) => post("survey-next", body), (told, asked) => this.#show(told, asked), fail, AT_REST);
    byId("next").addEventListener("toggle", () => this.ask());
    byId("next-about").addEventListener("change", () => {
      byId("next-within").value = ""; // it was of another number
      this.ask();
    });
    byId("next-within").addEventListener("input", () => this.ask());
  }

  // Asked anew, where it is looked at.
  ask() {
    if (!byId("next").open) return;
    byId("next-told").classList.add("stale");
    this.questions.ask({ typed: this.typed(), about: byId("next-about").value || FIRST, within: byId("next-within").value });
  }

  #show({ words, fault, numbers, axles }, { about }) {
    if (numbers.length > 0) byId("next-about").replaceChildren(...numbers.map(({ key, title }) => make("option", { value: key, selected: key === about }, title)));
    byId("next-unit").textContent = numbers.find((one) => one.key === about)?.unit ?? "";
    byId("next-fault").textContent = fault;
    byId("next-told").classList.remove("stale");
    byId("next-told").replaceChildren(...(words ? [make("p", { class: "soft" }, words)] : []), ...axles.flatMap(list));
  }
}

// What it is before the first reading stands in the headline.
function list({ headline, unit, rows, notes }) {
  const told = rows.map((one, place) => [`${place + 1}`, one.number, reading(one), one.after]);
  const table = plainTable(["", "no.", "read next", `after it [${unit}]`], told);
  table.classList.add("next");
  return [make("p", {}, make("strong", {}, headline)), ...(rows.length ? [table] : []), ...notes.map((one) => make("p", { class: "soft" }, one))];
}

function reading(one) {
  return make("span", {}, one.reading, make("small", {}, ` good to ${one.good_to}`));
}
