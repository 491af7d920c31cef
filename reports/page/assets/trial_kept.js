// What is tried, kept beside the car as it is done, so that it outlives page and server; two pages are told.

import { busily } from "./busy.js";
import { byId, make } from "./elements.js";
import { Newest } from "./newest.js";
import { same } from "./same.js";
import { ask, post } from "./server.js";

const AT_REST = 100; // ms without a move

export class TrialKept {
  // changes: what is tried; taken() is called when it is another, such as what was tried before the server stopped;
  // kept() when the file is another.
  constructor(changes, taken, kept) {
    this.changes = changes;
    this.taken = taken;
    this.kept = kept;
    this.seen = null; // the version of the file that this page knows; null: it keeps nothing
    this.saves = new Newest((body) => this.#save(body), (told) => this.#know(told.seen), (error) => this.#refused(error), AT_REST);
  }

  // Once the car is there: what was tried last, unless this page has done it itself.
  async load(known) {
    const before = this.changes.asked;
    let told;
    try {
      told = await ask("trial");
    } catch (error) {
      this.#tell([`What is tried is not kept: ${error.message}`]);
      return;
    }
    this.#know(told.seen);
    this.#quiet();
    if (same(tried(told), tried(this.changes.asked))) return;
    if (!same(before, this.changes.asked)) {
      this.changed(); // moved while this was asked: what is newest stays
      return;
    }
    if (known !== told.seen) this.changes.take(told);
    this.taken();
  }

  #know(seen) {
    this.seen = seen;
    this.kept();
  }

  changed() {
    if (this.seen !== null) this.saves.ask(this.changes.asked);
  }

  async #save(body) {
    try {
      return await post("trial", { ...body, seen: this.seen });
    } catch (error) {
      // With no server there is nothing to be done but to try again at the next move.
      if (error.gone) return { seen: this.seen };
      throw error;
    }
  }

  #refused(error) {
    this.seen = null;
    this.#tell([error.message], [
      ["take up what it tried", () => busily(() => this.load(""))],
      ["keep what is tried here", () => busily(() => this.#insist())],
    ]);
  }

  async #insist() {
    try {
      this.#know((await ask("trial")).seen);
      this.#quiet();
      this.changed();
    } catch (error) {
      this.#tell([error.message]);
    }
  }

  #tell(lines, ways = []) {
    const buttons = ways.map(([words, act]) => make("button", { type: "button", onclick: () => busily(act) }, words));
    byId("other-trial").replaceChildren(...lines.map((line) => make("p", {}, line)), make("div", { class: "choice" }, ...buttons));
    byId("other-trial").hidden = false;
  }

  #quiet() {
    byId("other-trial").hidden = true;
  }
}

function tried({ changes, align }) {
  return [changes, align];
}
