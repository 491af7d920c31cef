// Where no car is open yet: a blank of a suspension type, or a demo car, written into a new file.

import { byId, make } from "./elements.js";
import { ask, post } from "./server.js";

export class Begin {
  // begun() is called once there is a car; fail(error) tells what went wrong.
  constructor(begun, fail) {
    this.begun = begun;
    this.fail = fail;
    byId("begin-blank").addEventListener("submit", (event) => this.#begin(event, "blank"));
    byId("begin-demo").addEventListener("submit", (event) => this.#begin(event, "demo"));
    byId("blank-which").addEventListener("change", () => this.#suggestAxle());
  }

  // Whether something has to be begun first.
  async wanted() {
    const told = await ask("begin");
    document.body.classList.toggle("beginning", !told.open);
    if (!told.open) this.#show(told);
    return !told.open;
  }

  #show(told) {
    this.kinds = told.kinds;
    byId("car-name").textContent = "Begin with a car";
    byId("begin-folder").textContent = told.folder;
    byId("blank-which").replaceChildren(...options(told.kinds));
    byId("demo-which").replaceChildren(...options(told.demos));
    for (const field of ["blank-file", "demo-file"]) byId(field).value = told.file;
    this.#suggestAxle();
  }

  #suggestAxle() {
    byId("blank-axle").value = this.kinds.find((one) => one.name === byId("blank-which").value).axle;
  }

  async #begin(event, what) {
    event.preventDefault();
    const asked = { what, which: byId(`${what}-which`).value, file: byId(`${what}-file`).value };
    if (what === "blank") Object.assign(asked, { units: byId("blank-units").value, axle: byId("blank-axle").value });
    try {
      await post("begin", asked);
    } catch (error) {
      this.fail(error);
      return;
    }
    document.body.classList.remove("beginning");
    byId("trouble").hidden = true;
    this.begun();
  }
}

function options(told) {
  return told.map((one) => make("option", { value: one.name }, one.words));
}
