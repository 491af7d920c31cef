// Weights, springs, bars and what else moves and stops an axle: sections of the form, each with what it still lacks.

import { make } from "./elements.js";

export class Sections {
  // field(told) makes the box of a field.
  constructor(field) {
    this.field = field;
    this.sections = new Map();
  }

  // The form's parts: of the whole car, of each axle.
  made(parts) {
    this.sections.clear();
    return parts.flatMap((part) => [make("h3", {}, part.title), ...part.sections.map((one) => this.#section(one, part.title))]);
  }

  #section(section, part) {
    const lacks = make("div", { class: "lacks", "aria-live": "polite" });
    const keys = [section, ...section.folded.flatMap((one) => one.lines)].flatMap((one) => one.fields);
    this.sections.set(section.key, { lacks, names: new Map(keys.map((one) => [one.key, one.words])) });
    return make(
      "fieldset",
      { "data-section": section.key },
      make("legend", {}, make("span", { class: "unseen" }, `${part}, `), section.title),
      make("small", {}, section.where),
      this.#fields(section.fields),
      lacks,
      ...section.folded.map((one) => this.#folded(one, section.key)),
    );
  }

  #fields(fields) {
    return make("div", { class: "fields wide" }, ...fields.map((one) => this.field(one)));
  }

  #folded(folded, key) {
    const lines = folded.lines.map((line, i) => {
      if (!line.title || line.title === folded.title) return this.#fields(line.fields);
      const id = `line-${key}-${folded.title}-${i}`.replaceAll(/[^\w.-]/g, "-");
      return make("div", { role: "group", "aria-labelledby": id }, make("p", { class: "line", id }, line.title), this.#fields(line.fields));
    });
    const filled = folded.lines.some((line) => line.fields.some((one) => one.value !== ""));
    return make("details", { open: filled }, make("summary", {}, folded.title), make("small", {}, folded.where), ...lines);
  }

  // Said under a section: what is wrong with it as a whole, and which of its boxes it cannot do without.
  judge(at, blank) {
    for (const [key, own] of this.sections) {
      const lines = at.has(key) ? [at.get(key)] : [];
      for (const [field, name] of own.names) if (blank.has(field)) lines.push(`${name}: ${at.get(field)}`);
      own.lacks.replaceChildren(...lines.map((words) => make("p", {}, words)));
    }
  }

  // Whether a fault at this key has its place here.
  says(key) {
    return this.sections.has(key);
  }
}
