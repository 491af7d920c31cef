// Tape readings, heights and angles: judged with their fit as they are typed, saved, and made a car.

import { busily } from "./busy.js";
import { byId, inWords, make } from "./elements.js";
import { keepingFocus } from "./focus_kept.js";
import { Newest } from "./newest.js";
import { Next } from "./next.js";
import { ask, post } from "./server.js";
import { same } from "./same.js";
import { plainTable } from "./tables.js";
import { inBoxes, keepTyped, typedBefore, typedSince } from "./typed.js";

const AT_REST = 500; // ms without a key, until the readings are fitted again

export class Survey {
  // pointed(row, axle): a field is entered; fitted(): a car was written.
  constructor({ pointed, fitted, fail }) {
    this.pointed = pointed;
    this.fitted = fitted;
    this.fail = fail;
    this.typed = {};
    this.next = new Next(() => this.typed, fail);
    this.checks = new Newest((body) => post("survey-checked", body), (told) => this.#judge(told), fail, AT_REST);
    byId("readings").addEventListener("submit", (event) => {
      event.preventDefault();
      busily(() => this.#save());
    });
    byId("fit-car").addEventListener("click", () => busily(() => this.#fit()));
    byId("survey").addEventListener("toggle", () => this.#check());
    document.querySelector('nav a[href="#surveying"]').addEventListener("click", () => (byId("survey").open = true));
  }

  // axles: those of the car, to begin a survey of; alone: there is no car yet.
  async load(axles, alone) {
    if (this.#unsaved) return; // what is typed stays
    try {
      const told = await ask("survey");
      if (this.#unsaved || same([told, axles], [this.told, this.axles])) return;
      keepingFocus(() => this.#show(told, axles, alone));
    } catch (error) {
      this.fail(error);
    }
  }

  #show(told, axles = this.axles, alone = false) {
    this.axles = axles;
    this.told = told;
    this.typed = {};
    this.fields = new Map();
    byId("survey-begin").hidden = told.there;
    byId("readings").hidden = !told.there;
    const begin = (axle) => make("button", { type: "button", onclick: () => busily(() => this.#begin(axle)) }, `begin a survey of the ${axle} axle`);
    byId("survey-axles").replaceChildren(...axles.map(begin));
    byId("survey-file").textContent = told.file;
    byId("fit-file").value = told.car ?? "";
    byId("reading-rows").replaceChildren(...told.axles.map((axle) => this.#axle(axle)));
    byId("verdict-of-readings").replaceChildren();
    if (alone && told.there) byId("survey").open = true;
    this.#recall(typedBefore("survey", told.seen));
  }

  // What was typed before the page was loaded anew, or while it was saved.
  #recall(typed) {
    for (const [key, value] of Object.entries(typed)) {
      const at = this.fields.get(key);
      if (!at) continue;
      at.input.value = value;
      this.typed[key] = value;
      byId("survey").open = true;
    }
    keepTyped("survey", this.told.seen, this.typed);
    this.#buttons();
    this.#check();
  }

  get #unsaved() {
    return Object.keys(this.typed).length > 0;
  }

  get pictures() {
    return this.told?.axles ?? [];
  }

  #axle(axle) {
    const head = make("h3", {}, `${axle.axle} axle, ${axle.suspension}; lengths in ${inWords(this.told.unit)}`);
    return make("div", {}, head, ...axle.rows.map((row) => this.#row(row, axle)));
  }

  #row(row, axle) {
    const number = row.number ? [make("small", {}, ` no. ${row.number}`)] : [];
    const note = row.note ? [...number, make("small", {}, ` ${row.note}`)] : number;
    if (!row.key) return make("p", { class: "reading" }, row.title, ...note);
    const input = make("input", { type: "text", value: row.value, autocomplete: "off", "data-key": row.key });
    const fault = make("p", { class: "bad", id: `fault-${row.key}` });
    input.setAttribute("aria-describedby", fault.id);
    input.addEventListener("input", () => this.#type(row, input.value));
    input.addEventListener("focus", () => this.pointed({ ...row, where: "" }, axle.axle));
    this.fields.set(row.key, { input, fault });
    return make("label", { class: "reading" }, make("span", {}, row.title, ...note), input, make("span", { class: "unit" }, row.unit ?? ""), fault);
  }

  #type(row, value) {
    if (value === row.value) delete this.typed[row.key];
    else this.typed[row.key] = value;
    keepTyped("survey", this.told.seen, this.typed);
    this.#buttons();
    this.#check();
  }

  #buttons() {
    byId("save-readings").disabled = !this.#unsaved;
    byId("fit-car").disabled = this.#unsaved;
    byId("fit-words").hidden = !this.#unsaved;
  }

  #check() {
    if (this.told?.there && byId("survey").open) this.checks.ask({ typed: this.typed });
  }

  #judge(told) {
    this.next.ask();
    for (const { input, fault } of this.fields.values()) {
      fault.textContent = "";
      input.removeAttribute("aria-invalid");
    }
    const others = [];
    for (const one of told.faults) {
      const at = this.fields.get(one.key);
      if (at) {
        at.fault.textContent = one.words;
        at.fault.className = at.input.value.trim() === "" ? "soft" : "bad";
        at.input.setAttribute("aria-invalid", "true");
      } else others.push(one.key ? `In the file, at ${one.key}: ${one.words}` : one.words);
    }
    const count = told.faults.length === 1 ? "1 fault" : `${told.faults.length} faults`;
    const head = told.faults.length ? [make("p", { class: "bad" }, `${count} before the readings can be fitted.`)] : [];
    byId("verdict-of-readings").replaceChildren(
      ...head,
      ...others.map((words) => make("p", { class: "bad" }, words)),
      ...told.verdicts.flatMap(verdict),
    );
  }

  async #begin(axle) {
    try {
      this.#show(await post("survey", { axle }));
      byId("survey").open = true;
    } catch (error) {
      this.fail(error);
    }
  }

  async #save() {
    const sent = inBoxes(this.fields);
    try {
      const told = await post("survey-saved", { typed: this.typed, seen: this.told.seen });
      const since = typedSince(sent, this.fields);
      keepTyped("survey", "", {});
      keepingFocus(() => {
        this.#show(told);
        this.#recall(since);
      });
    } catch (error) {
      this.fail(error);
    }
  }

  async #fit() {
    try {
      await post("fitted", { file: byId("fit-file").value, seen: this.told.seen });
      this.fitted();
    } catch (error) {
      this.fail(error);
    }
  }
}

// What a fit has to say of its readings: missing, suspect, and where the points then lie.
function verdict(told) {
  const said = [make("p", {}, make("strong", {}, `${told.axle}: `), told.head)];
  if (told.open) return [...said, ...told.missing.map((words) => make("p", { class: "bad" }, words))];
  said.push(...told.suspects.map((words) => make("p", { class: "bad" }, `Suspect: ${words}`)));
  said.push(...told.warnings.map((words) => make("p", { class: "bad" }, `Look: ${words}`)));
  if (told.suspects.length === 0 && told.warnings.length === 0) said.push(make("p", { class: "good" }, "Nothing to suspect."));
  said.push(...told.weakly_checked.map((words) => make("p", { class: "soft" }, words)));
  return [...said, fold("Where the points lie", points(told.points)), fold("Every reading", readings(told.readings))];
}

function fold(words, table) {
  return make("details", {}, make("summary", {}, words), table);
}

function rounded(value) {
  return value === null ? "none" : String(Number(value.toPrecision(5)));
}

function points(told) {
  const unit = told[0]?.unit ?? "";
  const rows = told.map((one) => [
    [one.side, one.point.replaceAll("_", " "), one.way].filter(Boolean).join(" "),
    rounded(one.value),
    rounded(one.either_way_95),
  ]);
  return plainTable(["point", `[${unit}]`, "\u00b1 for 95 %"], rows);
}

function called(one) {
  const name = one.reading.replaceAll("_", " ");
  return one.sheet_number === null ? name : `no. ${one.sheet_number} (${name})`;
}

function readings(told) {
  const rows = told.map((one) => [called(one), one.as_written ?? rounded(one.read), rounded(one.off_by), one.standardised === null ? "unchecked" : one.standardised.toFixed(1)]);
  return plainTable(["reading", "read", "off by", "times as usual"], rows);
}
