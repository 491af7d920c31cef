// What is tried: the entries of a plan, each filled by one slider or more, with undo and redo.

const WAYS = ["ahead", "out", "up"];

function sameEntry(one, other) {
  return one.axle === other.axle && one.what === other.what && (one.point ?? "") === (other.point ?? "") && !one.side;
}

export class Changes {
  #now = { changes: [], align: {} };
  #before = [];
  #after = [];
  #sliding = null;

  get asked() {
    return this.#now;
  }

  get any() {
    return this.#now.changes.length > 0 || Object.keys(this.#now.align).length > 0;
  }

  get canUndo() {
    return this.#before.length > 0;
  }

  get canRedo() {
    return this.#after.length > 0;
  }

  // Where a slider stands: what its entry holds, or where nothing is changed.
  value(offer) {
    return this.#now.changes.find((one) => sameEntry(one, offer.entry))?.[offer.way] ?? offer.rest;
  }

  // One slider moved; moves of the same slider in a row are undone together.
  slide(offer, value) {
    const others = this.#now.changes.filter((one) => !sameEntry(one, offer.entry));
    const old = this.#now.changes.find((one) => sameEntry(one, offer.entry));
    const entry = { ...(old ?? offer.entry) };
    if (value === offer.rest) delete entry[offer.way];
    else entry[offer.way] = value;
    const empty = ![...WAYS, "by", "rate", "mass", "coils"].some((way) => way in entry);
    const place = this.#now.changes.indexOf(old);
    const kept = empty ? [] : [entry];
    const changes = place < 0 ? [...others, ...kept] : [...this.#now.changes.slice(0, place), ...kept, ...this.#now.changes.slice(place + 1)];
    this.#set({ ...this.#now, changes }, this.#sliding === offer.key);
    this.#sliding = offer.key;
  }

  // A whole plan, or nothing.
  take({ changes = [], align = {} } = {}) {
    this.#set({ changes, align }, false);
    this.#sliding = null;
  }

  #set(next, together) {
    if (!together) this.#before.push(this.#now);
    this.#after = [];
    this.#now = next;
  }

  undo() {
    this.#step(this.#before, this.#after);
  }

  redo() {
    this.#step(this.#after, this.#before);
  }

  #step(from, to) {
    if (from.length === 0) return;
    to.push(this.#now);
    this.#now = from.pop();
    this.#sliding = null;
  }

  // For a reload: what is tried, and the way there.
  get kept() {
    return { now: this.#now, before: this.#before.slice(-50), after: this.#after.slice(-50) };
  }

  recall(kept) {
    if (!kept?.now) return;
    this.#now = kept.now;
    this.#before = kept.before;
    this.#after = kept.after;
  }
}
