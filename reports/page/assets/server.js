// Asks the server that this page came from. What is at fault comes back in the words of the command line.

class Fault extends Error {
  // gone: there was no answer at all.
  constructor(lines, gone = false) {
    super(lines.join("\n"));
    this.lines = lines;
    this.gone = gone;
  }
}

const GONE = "cornersweep does not answer: it was stopped, or the machine slept. Start it again, and open its new address.";

async function answered(request) {
  let answer;
  try {
    answer = await request;
  } catch {
    throw new Fault([GONE], true);
  }
  const told = (answer.headers.get("content-type") ?? "").startsWith("application/json")
    ? await answer.json()
    : { faults: [await answer.text()] };
  if (!answer.ok) throw new Fault(told.faults ?? [GONE]);
  return told;
}

export function ask(path) {
  return answered(fetch(`../${path}`));
}

export function post(path, body) {
  const headers = { "content-type": "application/json" };
  return answered(fetch(`../${path}`, { method: "POST", headers, body: JSON.stringify(body) }));
}
