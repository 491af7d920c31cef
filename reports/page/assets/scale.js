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

const FAR = 8; // times the range of a curve's middle half: a straight line has twice that, a parabola four times

function known(values) {
  return values.filter((one) => one !== null && Number.isFinite(one));
}

// The ends of a curve; of one that runs far at its ends, so much that its middle half stays readable.
export function reach(values, least) {
  const all = known(values);
  if (all.length === 0) return [];
  const middle = known(values.slice(Math.floor(values.length / 4), Math.ceil((3 * values.length) / 4)));
  const ends = [Math.min(...all), Math.max(...all)];
  if (middle.length === 0) return ends;
  const own = [Math.min(...middle), Math.max(...middle)];
  const room = FAR * Math.max(own[1] - own[0], least);
  return ends[1] - ends[0] > room ? within(own, ends, room) : ends;
}

/**
 * Two ends moved apart to hold some values, as long as they then are no farther apart than so many times before.
 * @param {number[]} ends
 */
export function grown([low, high], values, times) {
  const all = known(values);
  return all.length === 0 ? [low, high] : within([low, high], [Math.min(low, ...all), Math.max(high, ...all)], times * (high - low));
}

/**
 * From the inner towards the outer ends, as far as there is room.
 * @param {number[]} inner
 * @param {number[]} outer
 */
function within([low, high], [lowest, highest], room) {
  const wanted = low - lowest + highest - high;
  const part = wanted > 0 ? Math.min(1, Math.max(room - (high - low), 0) / wanted) : 0;
  return [low - part * (low - lowest), high + part * (highest - high)];
}

// The ends of an axis that holds all values, with some room, at least so wide.
export function span(values, least) {
  const all = known(values);
  if (all.length === 0) return [-least / 2, least / 2];
  const low = Math.min(...all);
  const high = Math.max(...all);
  const wide = Math.max(high - low, least);
  const middle = (low + high) / 2;
  return [middle - 0.56 * wide, middle + 0.56 * wide];
}
