// A form made anew under whoever types into it: the box of the same key has the keyboard again, at the same letter.

export function keepingFocus(makeAnew) {
  const active = document.activeElement;
  const key = active instanceof HTMLInputElement || active instanceof HTMLSelectElement ? active.dataset.key : undefined;
  const [from, to] = active instanceof HTMLInputElement ? [active.selectionStart, active.selectionEnd] : [null, null];
  makeAnew();
  if (!key || document.contains(active)) return;
  const again = document.querySelector(`:is(input, select)[data-key="${CSS.escape(key)}"]`);
  if (again instanceof HTMLElement) again.focus({ preventScroll: true });
  if (again instanceof HTMLInputElement && from !== null) again.setSelectionRange(from, to);
}
