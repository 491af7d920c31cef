// A joint moved in the drawing, with the pointer or with the arrow keys: it fills the sliders of that point.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

// Which way of a point each axis of a view is, outward being to the left on the left side.
const WAYS = {
  front: (side) => [["out", side === "left" ? 1 : -1], ["up", 1]],
  side: () => [["ahead", -1], ["up", 1]],
  top: (side) => [["out", side === "left" ? -1 : 1], ["ahead", 1]],
};

export class Drag {
  // place: the drawing; ready(): whether there is a car to change; view() names the view; choose(point) and move(point, way, value) act; value(point, way) tells.
  constructor(place, { ready, view, choose, move, value, size }) {
    this.place = place;
    this.ready = ready;
    this.view = view;
    this.choose = choose;
    this.move = move;
    this.value = value;
    this.size = size;
    this.held = null;
    place.addEventListener("pointerdown", (event) => this.#take(event));
    place.addEventListener("pointermove", (event) => this.#drag(event));
    for (const end of ["pointerup", "pointercancel"]) place.addEventListener(end, () => (this.held = null));
    place.addEventListener("keydown", (event) => this.#press(event));
  }

  // Where the pointer is, in mm of the drawing.
  #at(event) {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.place.getScreenCTM().inverse());
    return [at.x, -at.y];
  }

  #ways(side) {
    return WAYS[this.view()](side);
  }

  #take(event) {
    const { point, side } = event.target.dataset;
    if (!point || !this.ready()) return;
    event.preventDefault();
    this.place.setPointerCapture(event.pointerId);
    this.choose(point);
    const ways = this.#ways(side);
    this.held = { point, ways, from: this.#at(event), was: ways.map(([way]) => this.value(point, way)) };
  }

  #drag(event) {
    if (this.held === null) return;
    const { point, ways, from, was } = this.held;
    const at = this.#at(event);
    ways.forEach(([way, sign], i) => this.move(point, way, was[i] + (sign * (at[i] - from[i])) / this.size()));
  }

  #press(event) {
    const { point, side } = event.target.dataset;
    const arrow = ARROWS[event.key];
    if (!point || !arrow || !this.ready()) return;
    event.preventDefault();
    this.#ways(side).forEach(([way, sign], i) => {
      if (arrow[i]) this.move(point, way, this.value(point, way) + sign * arrow[i] * (this.size() === 1 ? 1 : 1 / 16));
    });
  }
}
