// What is typed into a form and not yet saved, kept for a reload as long as the file is the one that was shown.

const KEPT = "cornersweep typed: ";

export function keepTyped(form, seen, typed) {
  if (Object.keys(typed).length === 0) sessionStorage.removeItem(KEPT + form);
  else sessionStorage.setItem(KEPT + form, JSON.stringify({ seen, typed }));
}

// By the keys of the fields; nothing where the file is another by now.
export function typedBefore(form, seen) {
  try {
    const kept = JSON.parse(sessionStorage.getItem(KEPT + form) ?? "null");
    return kept?.seen === seen ? kept.typed : {};
  } catch {
    return {};
  }
}

// What stands in the boxes of a form, by their keys.
export function inBoxes(fields) {
  return new Map([...fields].map(([key, { input }]) => [key, input.value]));
}

// What was typed after that, such as while it was saved.
export function typedSince(before, fields) {
  return Object.fromEntries([...inBoxes(fields)].filter(([key, value]) => before.get(key) !== value));
}
