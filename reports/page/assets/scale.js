// Axes of a chart: round numbers between two ends, and where a value lies on the screen.

const STEPS = [1, 2, 2.5, 5, 10];

/** @returns {{ step: number, at: number[] }} */
export function ticks(low, high, most) {
  const rough = (high - low) / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * STEPS.find((one) => one * power >= rough * 0.999);
  const found = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i += 1) found.push(i * step);
  return { step, at: found };
}

export function written(value, step) {
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9) + (String(step).includes("25") ? 1 : 0));
  const text = (Math.abs(value) < step * 1e-6 ? 0 : value).toFixed(Math.min(decimals, 6));
  return text.replace("-", "\u2212");
}

/**
 * @param {number[]} ends
 * @param {number[]} places
 */
export function linear([low, high], [from, to]) {
  return (value) => from + ((value - low) / (high - low)) * (to - from);
}

// The ends of an axis that holds all values, with some room, at least so wide.
export function span(values, least) {
  const known = values.filter((one) => one !== null && Number.isFinite(one));
  if (known.length === 0) return [-least / 2, least / 2];
  const low = Math.min(...known);
  const high = Math.max(...known);
  const wide = Math.max(high - low, least);
  const middle = (low + high) / 2;
  return [middle - 0.56 * wide, middle + 0.56 * wide];
}
