// The measured points as a form: each entry judged as it is typed, in the words that the file would be told in.

import { busily } from "./busy.js";
import { byId, inWords, make } from "./elements.js";
import { Newest } from "./newest.js";
import { ask, post } from "./server.js";
import { keepTyped, typedBefore } from "./typed.js";

export class Measure {
  // saved() is called when the file was written; pointed(row, axle) when a field is entered; shown() when there are others.
  constructor({ saved, pointed, shown, fail }) {
    this.saved = saved;
    this.pointed = pointed;
    this.shown = shown;
    this.fail = fail;
    this.typed = {};
    this.undone = [];
    this.checks = new Newest((body) => post("checked", body), (told) => this.#judge(told.faults), fail, 150);
    byId("measured").addEventListener("submit", (event) => {
      event.preventDefault();
      busily(() => this.#save(this.typed, true));
    });
    byId("unsave").addEventListener("click", () => busily(() => this.#save(this.undone.pop(), false)));
  }

  load() {
    return busily(() => this.#load());
  }

  async #load() {
    try {
      this.#show(await ask("form"));
    } catch (error) {
      this.fail(error);
    }
  }

  // How many faults the file has, which stand at their fields; the file's name.
  get faults() {
    return { count: this.told?.faults.length ?? 0, file: this.told?.file ?? "" };
  }

  get unsaved() {
    return Object.keys(this.typed).length > 0;
  }

  #show(told) {
    this.told = told;
    this.typed = {};
    this.fields = new Map();
    byId("form-rows").replaceChildren(...told.axles.map((axle) => this.#axle(axle)));
    byId("form").open ||= told.faults.length > 0;
    this.#judge(told.faults);
    this.#recall();
    this.shown(told.axles);
  }

  // What was typed before the page was loaded anew.
  #recall() {
    for (const [key, value] of Object.entries(typedBefore("measured", this.told.seen))) {
      const at = this.fields.get(key);
      if (!at) continue;
      at.input.value = value;
      this.#type(at.field, value);
      byId("form").open = true;
    }
  }

  #axle(axle) {
    const head = make("h3", {}, `${axle.axle} axle, ${axle.suspension}; lengths in ${inWords(this.told.unit)}`);
    return make("div", {}, head, make("p", { class: "soft" }, this.told.said), ...axle.rows.map((row) => this.#row(row, axle)));
  }

  #row(row, axle) {
    const fields = row.fields.map((field) => this.#field(row, field, axle));
    return make("fieldset", {}, make("legend", {}, row.title), make("small", {}, row.where), make("div", { class: "fields" }, ...fields));
  }

  #field(row, field, axle) {
    const input = make("input", { type: "text", value: field.value, autocomplete: "off", inputmode: "text", "data-key": field.key });
    const fault = make("p", { class: "bad", id: `fault-${field.key}`, "aria-live": "polite" });
    input.setAttribute("aria-describedby", fault.id);
    input.addEventListener("input", () => this.#type(field, input.value));
    input.addEventListener("focus", () => this.pointed(row, axle.axle));
    const own = { input, fault, field, left: input.value !== "" };
    input.addEventListener("blur", () => {
      own.left = true;
      // Only where there is something to say: a line that comes or goes would move the button that is being pressed.
      if (this.faultsNow.some((one) => one.key === field.key)) this.#judge(this.faultsNow);
    });
    this.fields.set(field.key, own);
    return make("label", {}, make("span", {}, field.words), input, fault);
  }

  #type(field, value) {
    if (value === field.value) delete this.typed[field.key];
    else this.typed[field.key] = value;
    keepTyped("measured", this.told.seen, this.typed);
    this.#buttons();
    this.checks.ask({ typed: this.typed });
  }

  #buttons() {
    byId("save").disabled = !this.unsaved;
    byId("unsave").disabled = this.undone.length === 0;
  }

  // What is blank is only counted; what is wrong is said at its box once that is left, and else above the form.
  #judge(faults) {
    this.faultsNow = faults;
    const at = new Map(faults.map((one) => [one.key, one.words]));
    let blank = 0;
    let wrong = 0;
    for (const [key, own] of this.fields) {
      const empty = at.has(key) && ["", "?"].includes(own.input.value.trim());
      const said = at.has(key) && !empty && own.left;
      blank += empty;
      wrong += at.has(key) && !empty;
      own.left &&= at.has(key) && !empty; // what is mended is judged again when it is left again
      own.fault.textContent = said ? at.get(key) : "";
      if (said) own.input.setAttribute("aria-invalid", "true");
      else own.input.removeAttribute("aria-invalid");
    }
    const lines = faults.filter((one) => !this.fields.has(one.key)).map((one) => ["bad", `${one.key}: ${one.words}`]);
    if (wrong) lines.unshift(["bad", wrong === 1 ? "One box holds what cannot be read or cannot be." : `${wrong} boxes hold what cannot be read or cannot be.`]);
    if (blank) lines.unshift(["soft", blank === 1 ? "One box is still blank." : `${blank} boxes are still blank.`]);
    if (faults.length === 0) lines.push(["good", "No faults."]);
    byId("form-words").replaceChildren(...lines.map(([look, words]) => make("p", { class: look }, words)));
    this.#buttons();
  }

  async #save(typed, keep) {
    const before = Object.fromEntries(Object.keys(typed).map((key) => [key, this.fields.get(key)?.field.value ?? ""]));
    try {
      const told = await post("save", { typed, seen: this.told.seen });
      keepTyped("measured", "", {});
      if (keep) this.undone.push(before);
      this.#show(told);
      await this.saved();
    } catch (error) {
      this.fail(error);
      if (!keep) this.undone.push(typed);
      this.#buttons();
    }
  }
}
