// The search for a plan: begun, watched, stopped, and what it found to be taken up.

import { byId, make } from "./elements.js";
import { ask, post } from "./server.js";
import { tradeOff } from "./trade_off.js";

const AGAIN = 400; // ms between two looks at how far it is

export class Search {
  // means: what may be done; without it there is nothing to search with.
  constructor(changes, means, taken, fail, unit) {
    this.unit = unit;
    this.changes = changes;
    this.taken = taken;
    this.fail = fail;
    this.watching = false;
    byId("find").addEventListener("click", () => means.there && this.#begin(() => post("find", {})));
    byId("stop").addEventListener("click", () => this.#begin(() => post("stop", {})));
  }

  // After a reload the search may still run, or have found something.
  look() {
    return this.#begin(() => ask("found"));
  }

  async #begin(question) {
    try {
      let told = await question();
      this.#show(told);
      if (this.watching) return;
      this.watching = true;
      while (told.running) {
        await new Promise((done) => setTimeout(done, AGAIN));
        told = await ask("found");
        this.#show(told);
      }
    } catch (error) {
      this.fail(error);
    }
    this.watching = false;
  }

  #show(told) {
    byId("find").disabled = told.running;
    byId("stop").hidden = !told.running;
    const bar = byId("search-progress");
    bar.hidden = !told.running;
    bar.max = Math.max(told.count, 1);
    bar.value = told.done;
    const found = told.found;
    const words = told.running ? `${told.what} (${told.done} of ${told.count})` : [...told.faults, found?.headline ?? ""].join(" ");
    byId("search-words").textContent = words;
    byId("found").replaceChildren(...(found?.plans ?? []).map((one) => this.#row(one)));
    const points = (found?.trade_off ?? []).filter((one) => one.worst !== null && one.raised !== null);
    byId("trade-off").hidden = points.length < 2;
    byId("trade-off-points").replaceChildren(...(points.length < 2 ? [] : [tradeOff(points, this.unit(), (one) => this.#take(one))]));
  }

  #row(plan) {
    const mark = make("span", { class: plan.holds ? "good" : "bad" }, plan.holds ? "ok" : "OUT");
    const sure = plan.chance ? `, chance ${plan.chance}` : "";
    const words = make("small", {}, mark, ` ${plan.words}; worst margin ${plan.margin}${sure}`);
    const take = make("button", { type: "button", onclick: () => this.#take(plan) }, "try it");
    return make("li", {}, make("div", {}, make("strong", {}, plan.name), words), take);
  }

  #take(plan) {
    this.changes.take(plan);
    this.taken();
  }
}
