// What may be done to the car, and the class rules: typed here and written into the means file, which the search reads.

import { busily } from "./busy.js";
import { byId, inWords, make } from "./elements.js";
import { same } from "./same.js";
import { ask, post } from "./server.js";

const AMOUNTS = [
  ["from", "from"],
  ["to", "to"],
  ["step", "in steps of"],
  ["sizes", "or the sizes there are"],
];
const RULE = [
  ["at_most", "at most (blank: not at all)"],
  ["words", "the rule in its own words"],
];

export class Means {
  // written() is called when the file was; fail(error) tells what went wrong.
  constructor(written, fail) {
    this.written = written;
    this.fail = fail;
    this.told = null;
    this.may = [];
    this.rules = [];
    byId("may-add").addEventListener("change", () => this.#add(this.may, this.told.kinds[byId("may-add").value], AMOUNTS));
    byId("rule-add").addEventListener("change", () => this.#add(this.rules, { changes: byId("rule-add").value }, RULE));
    byId("means-form").addEventListener("submit", (event) => {
      event.preventDefault();
      busily(() => this.#write());
    });
  }

  async load() {
    try {
      const told = await ask("means");
      if (!same(told, this.told)) this.#show(told);
    } catch (error) {
      this.fail(error);
    }
  }

  // Whether there is anything to search with; where there is not, the form is opened.
  get there() {
    if (this.told && !this.told.there) {
      byId("means").open = true;
      byId("may-add").focus();
    }
    return this.told?.there !== false;
  }

  #show(told) {
    this.told = told;
    this.may = told.may.map((one) => ({ ...one }));
    this.rules = told.rules.map((one) => ({ ...one }));
    const words = [
      told.own ? `Lengths in ${inWords(told.unit)}, a tape's fractions as they are read. It is written into ${told.file}.` : `It stands in ${told.file}, which was not written here: change it in an editor.`,
      told.there ? "" : "Nothing is said yet; then a plan can be found.",
    ];
    byId("means-words").textContent = words.join(" ");
    byId("means-form").hidden = !told.own;
    byId("may-add").replaceChildren(...options("choose what", told.kinds.map((one, i) => [i, one.title])));
    byId("rule-add").replaceChildren(...options("choose what", told.ruled.map((one) => [one, one.replaceAll("_", " ")])));
    this.#rows();
  }

  #add(list, named, fields) {
    list.push({ ...named, ...Object.fromEntries(fields.map(([key]) => [key, ""])) });
    this.#rows();
    byId(list === this.may ? "may" : "ruled").lastElementChild.querySelector("input").focus();
  }

  #rows() {
    const title = (one) => this.told.kinds.find((kind) => ["axle", "what", "point", "way"].every((key) => kind[key] === one[key]));
    const may = this.may.map((one) => this.#row(this.may, one, title(one)?.title ?? one.what, title(one)?.sign ?? "", AMOUNTS));
    byId("may").replaceChildren(...may);
    byId("ruled").replaceChildren(...this.rules.map((one) => this.#row(this.rules, one, `rule about ${one.changes.replaceAll("_", " ")}`, "", RULE)));
    byId("may-add").value = byId("rule-add").value = "";
    byId("means-faults").replaceChildren();
  }

  #row(list, one, title, sign, fields) {
    const boxes = fields.map(([key, words]) => {
      const input = make("input", { type: "text", value: one[key], autocomplete: "off", maxlength: key === "words" ? 400 : 60, name: key });
      input.addEventListener("input", () => (one[key] = input.value));
      return make("label", {}, make("span", {}, `${words}${key === "words" ? "" : ` [${this.told.unit}]`}`), input);
    });
    const away = make("button", { type: "button", "aria-label": `take ${title} away`, onclick: () => (list.splice(list.indexOf(one), 1), this.#rows()) }, "remove");
    return make("li", {}, make("div", {}, make("strong", {}, title), make("small", {}, sign), make("div", { class: "fields amounts" }, ...boxes)), away);
  }

  async #write() {
    const names = ["what", "axle", "point", "way", "from", "to", "step", "sizes"];
    const may = this.may.map((one) => Object.fromEntries(names.map((key) => [key, one[key]])));
    try {
      this.#show(await post("means", { may, rules: this.rules, seen: this.told.seen }));
      byId("means-words").textContent += " Written.";
      this.written();
    } catch (error) {
      const lines = error.lines ?? [error.message];
      byId("means-faults").replaceChildren(...lines.map((words) => make("p", { class: "bad" }, words)));
    }
  }
}

function options(first, told) {
  return [["", first], ...told].map(([value, words]) => make("option", { value }, words));
}
