// Where no car is open yet: a blank of a suspension type, or a demo car, written into a new file.

import { byId, make } from "./elements.js";
import { ask, post } from "./server.js";

export class Begin {
  // begun() is called once there is a car; fail(error) tells what went wrong.
  constructor(begun, fail) {
    this.begun = begun;
    this.fail = fail;
    byId("begin-blank").addEventListener("submit", (event) => this.#begin(event, "blank"));
    byId("begin-table").addEventListener("submit", (event) => this.#fromTable(event));
    byId("table-file").addEventListener("change", () => this.#read(byId("table-file").files[0]));
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
    byId("table-which").replaceChildren(...options(told.kinds));
    byId("table-axes").replaceChildren(...["forward", "left", "up"].map(axis));
    for (const field of ["blank-file", "demo-file", "table-into"]) byId(field).value = told.file;
    this.#suggestAxle();
  }

  #suggestAxle() {
    byId("blank-axle").value = this.kinds.find((one) => one.name === byId("blank-which").value).axle;
  }

  #begin(event, what) {
    event.preventDefault();
    const asked = { what, which: byId(`${what}-which`).value, file: byId(`${what}-file`).value };
    if (what === "blank") {
      Object.assign(asked, { units: byId("blank-units").value, axle: byId("blank-axle").value });
      if (event.submitter?.value === "survey") asked.what = "survey";
    }
    return this.#post("begin", asked);
  }

  // A file of the reader's, into the field where it can be looked at.
  async #read(file) {
    if (!file) return;
    byId("table-text").value = await file.text();
    this.name = file.name;
  }

  #fromTable(event) {
    event.preventDefault();
    const asked = { text: byId("table-text").value, which: byId("table-which").value, file: byId("table-into").value };
    if (this.name) asked.name = this.name;
    for (const what of ["unit", "forward", "left", "up"]) if (byId(`table-${what}`).value) asked[what] = byId(`table-${what}`).value;
    for (const what of ["ground", "camber", "toe"]) if (byId(`table-${what}`).value !== "") asked[what] = Number(byId(`table-${what}`).value);
    return this.#post("begin-table", asked);
  }

  async #post(path, asked) {
    try {
      await post(path, asked);
    } catch (error) {
      this.fail(error);
      return;
    }
    document.body.classList.remove("beginning");
    byId("trouble").hidden = true;
    this.begun();
  }
}

// Which of the table's axes points a way; two of the three tell the third.
function axis(way) {
  const words = ["as named", "+x", "-x", "+y", "-y", "+z", "-z"];
  const chosen = words.map((one, i) => make("option", { value: i ? one : "" }, one));
  return make("label", {}, `${way} `, make("select", { id: `table-${way}` }, ...chosen));
}

function options(told) {
  return told.map((one) => make("option", { value: one.name }, one.words));
}
