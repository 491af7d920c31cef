// The measured points as a form: each entry judged as it is typed, in the words that the file would be told in.

import { busily } from "./busy.js";
import { byId, make } from "./elements.js";
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
    const head = make("h3", {}, `${axle.axle} axle, ${axle.suspension}; lengths in ${this.told.unit}`);
    return make("div", {}, head, make("p", { class: "soft" }, this.told.said), ...axle.rows.map((row) => this.#row(row, axle)));
  }

  #row(row, axle) {
    const fields = row.fields.map((field) => this.#field(row, field, axle));
    return make("fieldset", {}, make("legend", {}, row.title), make("small", {}, row.where), make("div", { class: "fields" }, ...fields));
  }

  #field(row, field, axle) {
    const input = make("input", { type: "text", value: field.value, autocomplete: "off", inputmode: "text", "data-key": field.key });
    const fault = make("p", { class: "bad", id: `fault-${field.key}` });
    input.setAttribute("aria-describedby", fault.id);
    input.addEventListener("input", () => this.#type(field, input.value));
    input.addEventListener("focus", () => this.pointed(row, axle.axle));
    this.fields.set(field.key, { input, fault, field });
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

  // A fault stands at its field; one of a point, or of the file, above the form.
  #judge(faults) {
    for (const { input, fault } of this.fields.values()) {
      fault.textContent = "";
      input.removeAttribute("aria-invalid");
    }
    const others = [];
    for (const one of faults) {
      const at = this.fields.get(one.key);
      if (at) {
        const blank = at.input.value.trim() === "" || at.input.value.trim() === "?"; // not wrong, only to be filled in
        at.fault.textContent = one.words;
        at.fault.className = blank ? "soft" : "bad";
        if (!blank) at.input.setAttribute("aria-invalid", "true");
      } else others.push(`${one.key}: ${one.words}`);
    }
    const count = faults.length === 1 ? "1 fault" : `${faults.length} faults`;
    const head = faults.length ? `${count}, as the car file would have them.` : "No faults.";
    byId("form-words").replaceChildren(...[head, ...others].map((words) => make("p", { class: words === "No faults." ? "good" : "bad" }, words)));
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
