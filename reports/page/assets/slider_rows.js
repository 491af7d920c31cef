// Rows of sliders that show what is in force. They stay while what is told of them stays: whoever types into one while the
// car is read anew loses neither the keys nor the place.

import { same } from "./same.js";
import { sliderRow } from "./sliders.js";

export class SliderRows {
  #told = null;
  #rows = [];

  // place: where they stand; value(told): what is in force; changed(told, value): one was moved; laid(rows): what is put
  // into the place.
  constructor(place, value, changed, laid = (rows) => rows.map((one) => one.element)) {
    this.place = place;
    this.value = value;
    this.changed = changed;
    this.laid = laid;
  }

  // Those of an axle. anew: what is in force was just taken, and nothing that stands in a box unread counts any more.
  show(told, anew = false) {
    if (same(told, this.#told)) {
      this.follow(anew);
      return;
    }
    this.#told = told;
    this.#rows = told.map((one) => ({ told: one, ...sliderRow(one, this.value(one), (value) => this.changed(one, value)) }));
    this.place.replaceChildren(...this.laid(this.#rows));
  }

  // To what is in force now; a box whose amount is in force stays as it was typed.
  follow(anew = false) {
    for (const row of this.#rows) row.stand(this.value(row.told), anew);
  }

  get all() {
    return this.#rows;
  }
}
