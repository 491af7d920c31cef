// The car in a corner: every number at a chosen lateral acceleration, and springs and bars to be tried.

import { byId, make } from "./elements.js";
import { Newest } from "./newest.js";
import { ask, post } from "./server.js";
import { SliderRows } from "./slider_rows.js";

const USUAL = 0.8; // g
const AT_REST = 200; // ms

export class Leaning {
  // changes: what is tried; fitted(axle, what, rate) fills a slider; stand(pose, axle) stands the body so; fill() goes
  // to where springs and weights are filled in.
  constructor({ changes, fitted, stand, fill, fail }) {
    this.changes = changes;
    this.fitted = fitted;
    this.stand = stand;
    this.fail = fail;
    this.lateral = USUAL;
    this.slider = new SliderRows(byId("lean-slider"), () => this.lateral, (_, value) => {
      this.lateral = value;
      this.changed();
    });
    this.asked = new Newest((body) => post("leaning", body), (told) => this.#show(told), fail, AT_REST);
    byId("lean").addEventListener("toggle", () => this.changed());
    byId("lean-fill").addEventListener("click", fill);
    byId("stand-so").addEventListener("click", () => this.told && this.stand(this.told.stands));
  }

  async take(car) {
    const lacks = car.leaning.lacks;
    this.ready = !lacks;
    const other = car.leaning.boxes ? "" : ` The other axle goes into ${car.car.file} in an editor, as \`cornersweep new\` writes one.`;
    byId("lean-lacks").textContent = lacks ? `Not yet: ${lacks}.${other}` : "";
    byId("lean-fill").hidden = !lacks;
    byId("lean-body").hidden = Boolean(lacks);
    if (lacks) return;
    const told = { key: "lateral", title: "lateral acceleration", sign: "a steady left-hand corner", unit: "g", low: 0.05, high: car.leaning.most, rest: USUAL, step: 0.05 };
    this.slider.show([told]);
    this.changed();
    await this.#pieces();
  }

  // What is tried, or the acceleration, is another.
  changed() {
    if (this.ready && byId("lean").open) this.asked.ask({ lateral: this.lateral, ...this.changes.asked });
  }

  async #pieces() {
    try {
      const told = await ask("pieces");
      const button = (one) =>
        make("button", { type: "button", onclick: () => this.fitted(one.axle, one.what, one.rate) }, `${one.axle} ${one.what.replace(" rate", "")}: ${one.name}`);
      byId("pieces").replaceChildren(...told.pieces.map(button));
      byId("pieces-words").textContent = told.pieces.length
        ? "Try what lies there; without a length of its own a spring is packed as the ride height asks."
        : `No springs or bars lie in ${told.files.join(" or ")}.`;
    } catch (error) {
      this.fail(error);
    }
  }

  #show(told) {
    if (told.lacks) return; // the file lost them a moment ago; the car comes anew and says so
    this.told = told;
    const tried = told.rows.some((row) => row.words.length > 1);
    const heads = ["number", "where", ...(tried ? ["as measured", "as tried"] : ["as measured"]), "unit"];
    byId("lean-rows").tHead.replaceChildren(make("tr", {}, ...heads.map((head) => make("th", { scope: "col" }, head))));
    let before = "";
    byId("lean-rows").tBodies[0].replaceChildren(
      ...told.rows.map((row) => {
        const title = row.title === before ? "" : row.title;
        before = row.title;
        const cells = [row.place, ...row.words, row.unit].map((words) => make("td", {}, words));
        return make("tr", { "data-key": `${row.key}/${row.place}` }, make("th", { scope: "row", "aria-label": row.title }, title), ...cells);
      }),
    );
    byId("lean-words").replaceChildren(...told.words.map((words) => make("p", {}, words)), make("p", { class: "soft" }, told.how));
  }
}
