// One request at a time, the newest next: what was asked in between is never sent, so that no queue is left behind.

import { busily } from "./busy.js";

export class Newest {
  #waiting = null;
  #busy = false;

  // rest: how long nothing newer must have been asked before it is sent [ms].
  constructor(send, show, fail, rest = 0) {
    this.rest = rest;
    this.send = send;
    this.show = show;
    this.fail = fail;
  }

  ask(body) {
    this.#waiting = body;
    if (!this.#busy) this.#run();
  }

  forget() {
    this.#waiting = null;
  }

  async #atRest() {
    for (let asked = null; this.rest > 0 && asked !== this.#waiting; ) {
      asked = this.#waiting;
      await new Promise((done) => setTimeout(done, this.rest));
    }
  }

  async #run() {
    this.#busy = true;
    await busily(() => this.#sendAll());
  }

  async #sendAll() {
    while (this.#waiting !== null) {
      await this.#atRest();
      if (this.#waiting === null) break;
      const body = this.#waiting;
      this.#waiting = null;
      try {
        this.show(await this.send(body), body);
      } catch (error) {
        this.fail(error);
      }
    }
    this.#busy = false; // at once: what is asked a moment later must not be left waiting
  }
}
