// What was measured as a form: each entry judged as it is typed, in words of the boxes.

import { busily } from "./busy.js";
import { byId, inWords, make } from "./elements.js";
import { keepingFocus } from "./focus_kept.js";
import { Newest } from "./newest.js";
import { fillTheOnly } from "./only_choice.js";
import { same } from "./same.js";
import { Sections } from "./sections.js";
import { ask, post } from "./server.js";
import { inBoxes, keepTyped, typedBefore, typedSince } from "./typed.js";

export class Measure {
  // saved() is called when the file was written; pointed(row, axle) when a field is entered; shown() when there are others.
  constructor({ saved, pointed, shown, fail }) {
    this.saved = saved;
    this.pointed = pointed;
    this.shown = shown;
    this.fail = fail;
    this.typed = {};
    this.sections = new Sections((field) => this.#field(field));
    this.checks = new Newest((body) => post("checked", body), (told) => this.#judge(told.faults), fail, 150);
    byId("measured").addEventListener("submit", (event) => {
      event.preventDefault();
      busily(() => this.#write("save", { typed: this.typed }));
    });
    document.querySelector('nav a[href="#measuring"]').addEventListener("click", () => (byId("form").open = true));
    document.querySelector('nav a[href="#springs"]').addEventListener("click", () => (byId("springs").open = true));
    byId("unsave").addEventListener("click", () => busily(() => this.#write("unsave", {})));
  }

  load() {
    return busily(() => this.#load());
  }

  async #load() {
    try {
      const told = await ask("form");
      if (!this.unsaved && !same(told, this.told)) keepingFocus(() => this.#show(told));
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
    byId("spring-rows").replaceChildren(...this.sections.made(told.springs));
    byId("springs").hidden = told.springs.length === 0;
    byId("springs-need").textContent = told.axles.length === 1 ? `Lean needs both axles: the other one goes into ${told.file} in an editor.` : "";
    byId("form").open ||= told.faults.length > 0;
    for (const one of told.faults) if (one.words !== "is still blank") this.#unfold(this.fields.get(one.key)?.input);
    this.#judge(told.faults);
    fillTheOnly(this.fields, null);
    this.#recall(typedBefore("measured", told.seen));
    this.shown(told.axles);
  }

  // What was typed before the page was loaded anew, or while it was saved.
  #recall(typed) {
    for (const [key, value] of Object.entries(typed)) {
      const at = this.fields.get(key);
      if (!at) continue;
      at.input.value = value;
      this.#type(at.field, value);
      this.#unfold(at.input);
    }
  }

  #unfold(node) {
    for (let at = node?.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
  }

  // To the springs, weights and bars: the first of their boxes that is blank.
  fillIn() {
    byId("springs").open = true;
    const boxes = [...byId("spring-rows").querySelectorAll("input, select")];
    (boxes.find((one) => one.value === "") ?? boxes[0])?.focus();
  }

  #axle(axle) {
    const head = make("h3", {}, `${axle.axle} axle, ${axle.suspension}; lengths in ${inWords(this.told.unit)}`);
    return make("div", {}, head, make("p", { class: "soft" }, this.told.said), ...axle.rows.map((row) => this.#row(row, axle)));
  }

  #row(row, axle) {
    const faults = []; // beneath the whole row: a box is too narrow for a sentence
    const fields = row.fields.map((field) => this.#field(field, () => this.pointed(row, axle.axle), faults));
    return make("fieldset", {}, make("legend", {}, row.title), make("small", {}, row.where), make("div", { class: "fields" }, ...fields), ...faults);
  }

  // faults: takes what is said of the field, where that stands elsewhere.
  #field(field, entered = () => {}, faults = null) {
    const input = field.choices ? choices(field) : make("input", { type: "text", value: field.value, autocomplete: "off", inputmode: "text" });
    input.dataset.key = field.key;
    const fault = make("p", { class: "bad", id: `fault-${field.key}`, "data-box": field.words, "aria-live": "polite" });
    faults?.push(fault);
    input.setAttribute("aria-describedby", fault.id);
    const own = { input, fault, field, left: input.value !== "", byHand: false };
    input.addEventListener("input", () => {
      own.byHand = true;
      this.#type(field, input.value);
    });
    input.addEventListener("focus", entered);
    input.addEventListener("blur", () => {
      own.left = true;
      // Only where there is something to say: a line that comes or goes would move the button that is being pressed.
      if (this.faultsNow.some((one) => one.key === field.key)) this.#judge(this.faultsNow);
    });
    this.fields.set(field.key, own);
    return make("label", {}, make("span", {}, field.words), input, ...(faults ? [] : [fault]));
  }

  #type(field, value) {
    this.#note(field, value);
    fillTheOnly(this.fields, (one, only) => this.#note(one, only));
    keepTyped("measured", this.told.seen, this.typed);
    this.#buttons();
    this.#say("", "");
    this.checks.ask({ typed: this.typed });
  }

  #note(field, value) {
    if (value === field.value) delete this.typed[field.key];
    else this.typed[field.key] = value;
  }

  #buttons() {
    byId("save").disabled = !this.unsaved;
    byId("unsave").disabled = this.unsaved || !this.told.undo;
  }

  // What is blank is only counted; what is wrong is said at its box once that is left, and else above the form.
  #judge(faults) {
    this.faultsNow = faults;
    const at = new Map(faults.map((one) => [one.key, one.words]));
    const blank = new Set();
    let wrong = 0;
    for (const [key, own] of this.fields) {
      const empty = at.has(key) && ["", "?"].includes(own.input.value.trim());
      const said = at.has(key) && !empty && own.left;
      if (empty) blank.add(key);
      if (at.has(key) && !empty) wrong += 1;
      own.left &&= at.has(key) && !empty; // what is mended is judged again when it is left again
      own.fault.textContent = said ? at.get(key) : "";
      if (said) own.input.setAttribute("aria-invalid", "true");
      else own.input.removeAttribute("aria-invalid");
    }
    this.sections.judge(at, blank);
    const lines = faults.filter((one) => !this.fields.has(one.key) && !this.sections.says(one.key)).map((one) => ["bad", one.key ? `In the file, at ${one.key}: ${one.words}` : one.words]);
    if (wrong) lines.unshift(["bad", wrong === 1 ? "One box holds what cannot be read or cannot be." : `${wrong} boxes hold what cannot be read or cannot be.`]);
    if (blank.size) lines.unshift(["soft", blank.size === 1 ? "One box is still blank." : `${blank.size} boxes are still blank.`]);
    if (faults.length === 0) lines.push(["good", "No faults."]);
    byId("form-words").replaceChildren(...lines.map(([look, words]) => make("p", { class: look }, words)));
    this.#buttons();
  }

  async #write(way, body) {
    const sent = inBoxes(this.fields);
    try {
      const told = await post(way, { ...body, seen: this.told.seen });
      const since = typedSince(sent, this.fields);
      keepTyped("measured", "", {});
      keepingFocus(() => {
        this.#show(told);
        this.#recall(since);
      });
      this.#say("good", way === "save" ? `Saved into ${told.file}.` : `${told.file} is as it was before that save.`);
      await this.saved();
    } catch (error) {
      this.fail(error);
      this.#buttons();
      await this.#toFirstFault().catch(this.fail);
      this.#say("bad", `Nothing was saved. ${error.message}`);
    }
  }

  // Beside the button, since the header may be out of sight.
  #say(look, words) {
    byId("save-said").className = look;
    byId("save-said").textContent = words;
  }

  async #toFirstFault() {
    const { faults } = await post("checked", { typed: this.typed });
    const boxes = faults.map((one) => this.fields.get(one.key)).filter(Boolean);
    for (const own of boxes) own.left = true;
    this.#judge(faults);
    const first = boxes[0]?.input;
    if (!first) return;
    this.#unfold(first);
    first.focus();
  }
}

function choices(field) {
  const options = ["", ...field.choices].map((one) => make("option", { value: one, selected: one === field.value }, one || field.blank));
  return make("select", {}, ...options);
}
