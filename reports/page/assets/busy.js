// Whether anything is asked and not yet shown: the page says so of itself, and whoever waits can look there.

let running = 0;

export async function busily(work) {
  running += 1;
  document.body.dataset.busy = "";
  try {
    return await work();
  } finally {
    running -= 1;
    if (running === 0) delete document.body.dataset.busy;
  }
}
