// Up to two kept plans beside what is shown: drawn in every move, and their margins in one table.

import { all, byId, make } from "./elements.js";
import { post } from "./server.js";

const MOST = 2;

export class Beside {
  // changed() is called when other plans are chosen.
  constructor(changed, fail) {
    this.changed = changed;
    this.fail = fail;
    this.names = [];
  }

  // A box in a plan's row.
  box(name) {
    const box = make("input", { type: "checkbox", value: name, checked: this.names.includes(name) });
    box.addEventListener("change", () => this.#choose(name, box.checked));
    return make("label", { class: "beside-box" }, box, ` show beside the car`, make("span", { class: "unseen" }, `: ${name}`));
  }

  // The plans that are still there, after the list was read anew.
  keep(names) {
    const kept = this.names.filter((one) => names.includes(one));
    if (kept.length === this.names.length) return;
    this.names = kept;
    this.#tell();
  }

  // How a plan is drawn: "plan-1" or "plan-2".
  look(name) {
    return `plan-${this.names.indexOf(name) + 1}`;
  }

  #choose(name, wanted) {
    const others = this.names.filter((one) => one !== name);
    this.names = wanted ? [...others, name].slice(-MOST) : others;
    for (const box of all("#plans .beside-box input")) box.checked = this.names.includes(box.value);
    this.#tell();
  }

  async #tell() {
    this.changed();
    byId("beside").hidden = this.names.length === 0;
    if (this.names.length === 0) return;
    const asked = this.names;
    try {
      const told = await post("margins", { names: asked });
      if (asked === this.names) this.#table(told.columns);
    } catch (error) {
      this.fail(error);
    }
  }

  #table(columns) {
    const names = new Map(columns.flatMap((one) => one.checks).map((one) => [one.key, one.row]));
    const head = columns.map((one) => make("th", { scope: "col", class: this.look(one.name) }, one.name));
    byId("margins").tHead.replaceChildren(make("tr", {}, make("th", { scope: "col" }, "margin of"), ...head));
    byId("margins").tBodies[0].replaceChildren(
      ...[...names].map(([key, name]) =>
        make("tr", {}, make("th", { scope: "row" }, name), ...columns.map((one) => cell(one.checks.find((check) => check.key === key)))),
      ),
      make("tr", {}, make("th", { scope: "row" }, "all of it"), ...columns.map((one) => make("td", {}, ...whole(one)))),
    );
  }
}

function cell(check) {
  if (!check) return make("td", {}, "not told");
  return make("td", { class: check.holds ? "holds" : "out", title: check.sentence }, make("span", { class: "mark" }, check.holds ? "ok" : "OUT"), ` ${check.margin}`);
}

function whole(column) {
  return [column.held, ...column.in_the_way].filter(Boolean).map((words) => make("small", {}, words));
}
