// While a form is filled in on a small screen neither drawing nor verdict lies over it. They come back when the finger is
// up: sooner, they would cover what is being pressed, and the press would be lost.

document.addEventListener("pointerdown", () => {
  document.body.classList.toggle("filling-in", Boolean(document.activeElement?.closest("form")));
}, true);
for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, () => setTimeout(() => document.body.classList.remove("filling-in")), true);
}
