// The picture beside a blank form: where such points lie on an invented car, the one being asked for marked.

import { byId } from "./elements.js";

export class Picture {
  constructor(drawing) {
    this.drawing = drawing;
    this.axles = [];
    this.row = null;
    this.axle = null;
  }

  // The form's axles, each with its picture.
  take(axles) {
    this.axles = axles;
  }

  point(row, axle, view) {
    this.row = row;
    this.axle = axle;
    this.show(view);
  }

  show(view) {
    const axle = this.axles.find((one) => one.axle === this.axle) ?? this.axles[0];
    const picture = axle?.picture;
    document.body.classList.toggle("no-picture", !picture);
    const asked = this.row?.points.some(Boolean) ? ` Marked: ${[this.row.title, this.row.where].filter(Boolean).join(", ")}.` : "";
    byId("drawing-words").textContent = picture
      ? `A picture, not your car: where these points lie on an invented ${picture.suspension}.${asked}`
      : `There is no picture of this linkage.${asked}`;
    if (!picture) return;
    this.drawing.choose(...(this.row?.points ?? []));
    this.drawing.show(picture.views[view], picture.frames[view], null, [], false);
  }
}
