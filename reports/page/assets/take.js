// What can be taken along: links to files, by parcels.

import { byId, make } from "./elements.js";
import { ask } from "./server.js";

export async function showTaken(fail) {
  try {
    const told = await ask("take");
    byId("parcels").replaceChildren(...told.parcels.map(parcel));
  } catch (error) {
    fail(error);
  }
}

function parcel({ key, title, files }) {
  const link = (name) => make("li", {}, make("a", { href: `../take/${key}/${encodeURIComponent(name)}`, download: name }, name));
  return make("details", {}, make("summary", {}, title), make("ul", {}, ...files.map(link)));
}
