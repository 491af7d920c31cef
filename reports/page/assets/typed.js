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
