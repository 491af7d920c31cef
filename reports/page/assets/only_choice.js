// A choice with a single word is made already: it counts once something beside it is filled in, unless another way is.

// fields: boxes by key, each with its input and what the server tells of it. note(field, value): what then counts as
// typed; null where nothing was typed yet, so that a file that is half filled in is shown as it is.
export function fillTheOnly(fields, note) {
  for (const { input, field, byHand } of fields.values()) {
    if (!field.only || byHand) continue;
    const filled = [...fields.values()].filter((one) => !one.field.only && one.input.value.trim() !== "").map((one) => one.field.key);
    const begun = filled.some((key) => key.startsWith(`${field.only.of}.`));
    const other = filled.some((key) => field.only.instead.some((way) => key === way || key.startsWith(`${way}.`)));
    if (begun && note === null) continue;
    input.value = other ? "" : field.choices[0];
    note?.(field, begun ? input.value : "");
  }
}
