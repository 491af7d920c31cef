// The plans of the plan file: kept, taken up again, taken away, ranked.

import { busily } from "./busy.js";
import { byId, make } from "./elements.js";
import { Newest } from "./newest.js";
import { showPlansTold } from "./plans_told.js";
import { ask, post } from "./server.js";

export class Plans {
  // changes: what is tried; beside: the plans set beside the car; taken() is called when a plan was taken up.
  constructor(changes, beside, taken, fail) {
    this.changes = changes;
    this.beside = beside;
    this.taken = taken;
    this.fail = fail;
    this.told = null;
    this.compared = new Newest(() => ask("compared"), showPlansTold, fail);
    byId("keep").addEventListener("submit", (event) => this.#keep(event));
    byId("put-back").addEventListener("click", () => this.#putBack());
    byId("rank").addEventListener("click", () => this.#told(ask("ranked")));
  }

  load() {
    return this.#told(ask("plans"));
  }

  #told(answer) {
    return busily(() => this.#shown(answer));
  }

  async #shown(answer) {
    try {
      this.show(await answer);
      return true;
    } catch (error) {
      this.fail(error);
      return false;
    }
  }

  async #keep(event) {
    event.preventDefault();
    const name = byId("plan-name").value.trim();
    const why = byId("plan-why").value.trim();
    const kept = await this.#told(post("keep", { ...this.changes.asked, name, why, seen: this.told?.seen ?? "" }));
    if (kept) event.target.reset();
    else await this.#refresh();
  }

  // The list as it now is, so that what somebody else wrote is seen before it is tried again.
  async #refresh() {
    try {
      this.show(await ask("plans"));
    } catch {
      // What is wrong with the file stands there already.
    }
  }

  async #forget(name) {
    if (!(await this.#told(post("forget", { name, seen: this.told.seen })))) await this.#refresh();
  }

  async #putBack() {
    if (!(await this.#told(post("put-back", { seen: this.told.seen })))) await this.#refresh();
  }

  show(told) {
    this.told = told;
    byId("removed").hidden = !told.removed;
    byId("removed-words").textContent = told.removed ? `${told.removed} was removed.` : "";
    byId("plan-file").textContent = told.file;
    const order = told.ranked?.map((one) => one.name) ?? told.plans.map((one) => one.name);
    const rows = order.map((name) =>
      this.#row(
        told.plans.find((one) => one.name === name),
        told.ranked?.find((one) => one.name === name),
      ),
    );
    this.beside.keep(order);
    byId("plans").replaceChildren(...rows);
    byId("no-plans").hidden = told.plans.length > 0;
    byId("rank").disabled = told.plans.length === 0;
    byId("rules").replaceChildren(...told.rules.map((words) => make("li", {}, words)));
    byId("rules-head").hidden = told.rules.length === 0;
    if (told.plans.length > 0) this.compared.ask({});
    else showPlansTold({ axles: [] });
  }

  #row(plan, rank) {
    const words = [make("strong", {}, plan?.name ?? "as measured")];
    if (plan) words.push(make("small", {}, plan.words));
    if (plan?.why) words.push(make("small", {}, plan.why));
    if (rank) {
      const mark = make("span", { class: rank.holds ? "good" : "bad" }, rank.holds ? "ok" : "OUT");
      words.push(make("small", {}, mark, ` roll centre ${rank.roll_centre}; ${rank.held}; ${rank.decides}`));
    }
    const take = make("button", { type: "button", onclick: () => this.#take(plan) }, "try it");
    const away = make("button", { type: "button", "aria-label": `take ${plan?.name} away`, onclick: () => this.#forget(plan.name) }, "remove");
    return make("li", {}, make("div", {}, ...words), make("div", { class: "choice" }, take, ...(plan ? [this.beside.box(plan.name), away] : [])));
  }

  #take(plan) {
    this.changes.take(plan ?? {});
    this.taken();
  }
}
