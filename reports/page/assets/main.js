// The page: what it shows, what its person has set, and who is told when that changes.

import { Begin } from "./begin.js";
import "./beneath_header.js";
import { Beside } from "./beside.js";
import { busily } from "./busy.js";
import { Changes } from "./changes.js";
import { Curves } from "./curves.js";
import { Drag } from "./drag.js";
import { Drawing, legendOf } from "./drawing.js";
import { byId, choice, make } from "./elements.js";
import "./filling_in.js";
import { Leaning } from "./leaning.js";
import { Measure } from "./measure.js";
import { Means } from "./means.js";
import { Newest } from "./newest.js";
import { Picture } from "./picture.js";
import { Plans } from "./plans.js";
import { Search } from "./search.js";
import { ask, post } from "./server.js";
import { SliderRows } from "./slider_rows.js";
import { numberRows } from "./tables.js";
import { TrialKept } from "./trial_kept.js";
import { Survey } from "./survey.js";
import { showTaken } from "./take.js";
import { Try } from "./try.js";
import { outdated, showMeasured, showTravel, showTried } from "./verdict.js";

const VIEWS = [
  ["front", "front"],
  ["side", "side"],
  ["top", "top"],
];
const AT_REST = 120; // ms without a move, until what is tried is judged
const KEPT = "cornersweep";

const set = { axle: null, view: "front", pose: {} };
let known = null; // the version of the kept trial that this page knew before it was loaded anew
let car = null; // as the server tells it, once its file has no faults
let shown = null;
const drawing = new Drawing(byId("drawing"), byId("drawing-words"));
const positions = new Newest((body) => post("position", body), show, fail);
const changes = new Changes();
const bands = new Newest((body) => post("bands", body), showBands, fail, AT_REST);
const trialKept = new TrialKept(changes, () => taken(false), keep);
const travel = new Newest((body) => post("travel", body), (told) => showTravel(told, axleTold().axle), fail, AT_REST);
const verdicts = new Newest((body) => post("judged", body), showVerdict, fail, AT_REST);
const trying = new Try(changes, tried, (point) => drawing.choose(point));
const body = new SliderRows(byId("sliders"), (told) => set.pose[told.key] ?? 0, (told, value) => {
  set.pose[told.key] = value;
  move();
});
new Drag(byId("drawing"), {
  ready: () => car !== null,
  view: () => set.view,
  choose: (point) => trying.choosePoint(point),
  move: (point, way, value) => trying.movePoint(point, way, value),
  value: (point, way) => changes.value(trying.offerOf(point, way) ?? { rest: 0, entry: {} }),
  size: () => car.car.in_mm,
});
const beside = new Beside(move, fail);
const curves = new Curves(beside);
const plans = new Plans(changes, beside, taken, fail);
const picture = new Picture(drawing);
const measure = new Measure({ saved, pointed, shown: (axles) => picture.take(axles), fail });
const survey = new Survey({ pointed, fitted: anew, fail });
const beginning = new Begin(() => open(), fail);
const leaning = new Leaning({ changes, fitted, stand, fill: () => measure.fillIn(), fail });
const means = new Means(ruled, fail);
const search = new Search(changes, means, taken, fail, () => car.car.unit);

function axleTold() {
  return car.axles.find((one) => one.axle === set.axle) ?? car.axles[0];
}

function keep() {
  sessionStorage.setItem(KEPT, JSON.stringify({ ...set, tried: changes.kept, seen: trialKept.seen }));
}

function recall() {
  try {
    const { tried: kept, seen, ...others } = JSON.parse(sessionStorage.getItem(KEPT) ?? "{}");
    Object.assign(set, others);
    changes.recall(kept);
    known = seen ?? null;
  } catch {
    sessionStorage.removeItem(KEPT);
  }
}

function fail(error) {
  const place = byId("trouble");
  place.textContent = error.lines ? error.message : `The page has a fault of its own: ${error.message}`;
  place.hidden = false;
  if (!error.lines) console.error(error);
}

function move() {
  keep();
  const pose = { axle: axleTold().axle, ...set.pose };
  positions.ask({ ...pose, views: [set.view], beside: beside.names, ...changes.asked });
  // The band is that of the car as measured; it comes once the sliders rest.
  if (axleTold().doubt && !changes.any) bands.ask(pose);
  else bands.forget();
}

function showBands(told, asked) {
  if (told.version !== car.version || changes.any) return;
  if (JSON.stringify(asked) !== JSON.stringify({ axle: axleTold().axle, ...set.pose })) return;
  curves.band(told.bands);
}

// A slider of a change was moved: the drawing follows at once, the verdict as soon as it is found.
function tried() {
  byId("undo").disabled = !changes.canUndo;
  byId("redo").disabled = !changes.canRedo;
  byId("clear").disabled = !changes.any;
  document.body.classList.toggle("trying", changes.any);
  trying.follow();
  move();
  trialKept.changed();
  leaning.changed();
  travel.ask(changes.asked);
  if (changes.any) {
    outdated();
    verdicts.ask(changes.asked);
  } else {
    verdicts.forget();
    showMeasured(car.verdict);
    trying.beside(null);
  }
}

// A spring or bar that lies there: its rate fills the slider of its axle.
function fitted(axle, what, rate) {
  const offer = car.axles.find((one) => one.axle === axle)?.offers.find((one) => one.entry.what === what);
  if (!offer) return;
  changes.slide(offer, rate);
  taken();
}

// The sliders of the body, as it stands over the axle that is shown.
function stand(stands) {
  Object.assign(set.pose, stands[axleTold().axle]);
  chooseAxle(axleTold().axle);
}

// Other class rules hold now.
async function ruled() {
  await plans.load();
  tried();
}

// A whole plan was taken up, or a step undone: the sliders follow it, whatever is being typed.
function taken(whatever = true) {
  trying.show(axleTold(), whatever);
  tried();
}

function showVerdict(told) {
  if (!changes.any) return;
  showTried(told, car.verdict);
  trying.beside(told);
}

function show(told) {
  byId("trouble").hidden = true;
  if (told.version !== car.version) {
    open(); // somebody changed the file
    return;
  }
  const before = shown;
  shown = told;
  const gone = told.unreached !== undefined;
  document.body.classList.toggle("unreached", gone);
  if (told.curves) curves.show(told, set.pose);
  if (gone) {
    byId("drawing-words").textContent = `It cannot stand so: ${told.unreached}. The drawing shows where it last stood.`;
    shown = before;
    return;
  }
  byId("numbers").tBodies[0].replaceChildren(...numberRows(told.numbers, axleTold().numbers));
  showView();
}

function showView() {
  if (!shown?.views) return;
  const view = shown.views[set.view];
  if (!view) return; // it was asked for just now
  const words = view.marks.filter((one) => !one.look.endsWith("joint")).map((one) => one.words);
  const from = { front: "Seen from the front, the car's left on the right", side: "Seen from its left", top: "Seen from above" };
  const further = set.view === "side" && shown.beside ? [shown.beside] : [];
  byId("drawing-words").textContent = [from[set.view], ...words, ...further].join("; ") + ".";
  drawing.show(view, axleTold().frames[set.view], shown.ghost?.views?.[set.view] ?? null, plansShown());
  byId("legend").replaceChildren(
    ...legendOf(view, set.view).map(([look, name]) => make("li", { class: look }, make("i"), name)),
    ...plansShown().map((one) => make("li", { class: one.look }, make("i"), one.name, one.apart.length ? ` (cannot be built: ${one.apart[0]})` : "")),
  );
}

// Kept plans beside the car: how each is drawn, its view and its curves.
function plansShown() {
  return (shown?.plans ?? []).map((one) => ({ ...one, look: beside.look(one.name), view: one.views?.[set.view] ?? null }));
}

function chooseAxle(axle) {
  set.axle = axle;
  const told = axleTold();
  choice(byId("axles"), car.axles.map((one) => [one.axle, `${one.axle} axle`]), told.axle, chooseAxle);
  body.show(told.sliders);
  curves.make(told.curves, car.car.unit);
  trying.show(told);
  tried();
}

function chooseView(view) {
  set.view = view;
  choice(byId("views"), VIEWS, view, chooseView);
  move();
}

function choosePicture(view) {
  set.view = view;
  choice(byId("views"), VIEWS, view, choosePicture);
  picture.show(view);
}

function showCar() {
  document.title = `${car.car.name}: cornersweep`;
  byId("car-name").textContent = car.car.name;
  byId("car-file").textContent = car.car.file;
  byId("caution").textContent = car.caution;
  byId("look-again").replaceChildren(...car.look_again.map((note) => make("p", {}, note)));
  byId("notes").replaceChildren(...car.notes.map((note) => make("p", {}, note)));
}

// A field of the form was entered: the drawing shows its point, on the car or, where there is none yet, on a picture.
function pointed(row, axle) {
  const points = row.points ?? [row.point];
  if (car === null) picture.point({ ...row, points }, axle, set.view);
  else {
    if (car.axles.some((one) => one.axle === axle) && axle !== axleTold().axle) chooseAxle(axle);
    drawing.choose(...points);
  }
}

// After a save the car is what matters, not the foot of the form.
async function saved() {
  await open();
  if (car !== null) window.scrollTo({ top: 0 });
}

// Another car is open: everything is asked anew.
function anew() {
  sessionStorage.removeItem(KEPT);
  location.reload();
}

// The car as its file now is; where that has faults, the form shows them beside its fields.
function open() {
  return busily(openCar);
}

async function openCar() {
  if (!measure.unsaved) await measure.load();
  // The form knows already that there is no car yet: what would be empty is not shown meanwhile.
  if (car === null && measure.faults.count > 0) document.body.classList.add("no-car");
  try {
    car = await ask("car");
  } catch (error) {
    const { count, file } = measure.faults;
    if (car === null && file) byId("car-name").textContent = file;
    // What is still blank or wrong is said in the form itself.
    if (car === null && count > 0) byId("trouble").hidden = true;
    else fail(error);
    document.body.classList.toggle("no-car", car === null);
    if (car === null) {
      await survey.load([], true);
      if (picture.axles.length === 0) picture.take(survey.pictures);
      choosePicture(set.view);
    }
    return;
  }
  document.body.classList.remove("no-car");
  byId("trouble").hidden = true;
  showCar();
  if (!VIEWS.some(([one]) => one === set.view)) set.view = "front";
  choice(byId("views"), VIEWS, set.view, chooseView);
  chooseAxle(axleTold().axle);
  search.look();
  await means.load();
  leaning.take(car);
  survey.load(car.axles.map((one) => one.axle), false);
  await plans.load();
  if (trialKept.seen === null) await trialKept.load(known);
}

function step(way) {
  changes[way]();
  taken();
}

function pressed(event) {
  const inText = event.target.type === "text" && !event.target.closest(".slider");
  if (!(event.ctrlKey || event.metaKey) || inText) return;
  const key = event.key.toLowerCase();
  if (key !== "z" && key !== "y") return;
  event.preventDefault();
  step(key === "y" || event.shiftKey ? "redo" : "undo");
}

byId("undo").addEventListener("click", () => step("undo"));
byId("redo").addEventListener("click", () => step("redo"));
byId("clear").addEventListener("click", () => {
  changes.take();
  taken();
});
document.addEventListener("keydown", pressed);
byId("take").addEventListener("toggle", () => byId("take").open && showTaken(fail));

async function start() {
  recall();
  try {
    if (await beginning.wanted()) return;
  } catch (error) {
    fail(error);
  }
  open();
}

document.body.dataset.begun = "";
start();
