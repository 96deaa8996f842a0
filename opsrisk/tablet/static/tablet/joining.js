/** Operations under way in the agency: another tablet's can be followed from here. */

import { h, button } from "./dom.js";
import { link, show } from "./frame.js";
import { ask } from "./kit.js";
import { placeWords, titleWords } from "./context.js";
import * as logbook from "./logbook.js";
import { dayAndClock } from "./say.js";
import { hurry } from "./watching.js";

/** @param {any} operation */
async function join(operation) {
  await logbook.follow(operation);
  hurry();
  location.hash = `#/o/${operation.id}`;
}

export async function showOperations() {
  const at = location.hash;
  const followed = await logbook.followed();
  const mine = new Set(followed.map((one) => one.operation.id));
  let found;
  try {
    found = (await ask("/tablet/operations.json")).operations;
  } catch (error) {
    found = null;
  }
  const row = (/** @type {any} */ one, /** @type {any} */ act) => h("li", { class: "work" }, h("h3", {}, titleWords(one) || "No title"), h("p", {}, [placeWords(one), one.called_at && dayAndClock(one.called_at)].filter(Boolean).join(" · ")), act);
  const others = (found ?? []).filter((/** @type {any} */ one) => !mine.has(one.id));
  show({
    at,
    title: "Operations under way",
    wide: true,
    body: [
      followed.length > 0 && h("section", {}, h("h2", {}, "Followed on this tablet"), h("ul", { class: "works" }, followed.map((one) => row(one.operation, link(`#/o/${one.operation.id}`, "Conditions", "big"))))),
      found === null
        ? h("p", { class: "notice" }, "The server cannot be reached: operations of other tablets are listed when it can.")
        : h("section", {}, h("h2", {}, "Others of your agency"), others.length ? h("ul", { class: "works" }, others.map((/** @type {any} */ one) => row(one, button("Follow", () => join(one), { class: "control big" })))) : h("p", {}, "None.")),
    ],
    back: "#/",
  });
}
