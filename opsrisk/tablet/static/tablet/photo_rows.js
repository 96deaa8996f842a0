/** A photo as every page shows it: picture, caption, time, and where it is, in the same three words as a record. */

import { perhaps } from "./speaking.js";
import { button, h } from "./dom.js";
import * as outbox from "./outbox.js";
import { retry } from "./photo_sending.js";
import * as photos from "./photos.js";
import { dayAndClock } from "./say.js";

/** @param {import("./photos.js").Kept | null} kept on this device @param {string | null | undefined} there since when the server has it */
function whereabouts(kept, there) {
  if (there) return h("p", { class: "state" }, `Received ${dayAndClock(there)} (server time)`);
  if (kept?.row.state === "Received") return h("p", { class: "state" }, `Received ${dayAndClock(kept.row.receipt.received_at)} (server time)`);
  if (kept) return h("p", { class: "state" }, kept.row.state);
  return h("p", { class: "error" }, "MISSING: neither on this device nor, as far as this device knows, at the server");
}

/** @param {string} preview as a data address, or "" @param {string} caption */
const picture = (preview, caption) => (preview ? h("img", { class: "photo", src: preview, alt: perhaps(caption) }) : h("p", { class: "photo none" }, "No picture here"));

/** @param {string} id */
const tryAgain = (id) => button("Try again", () => retry(id).then(() => outbox.send()), { class: "control plain" });

/**
 * @param {{id: string, caption: string, taken_at: string}} named @param {import("./photos.js").Kept | null} kept
 * @param {{there?: string | null, acts?: any[]}} [more] there: when the server received it, as other tablets tell
 */
export function photoRow(named, kept, { there = null, acts = [] } = {}) {
  const reason = kept?.row.state !== "Received" ? kept?.content.reason : "";
  return h("li", { class: `work ${reason ? "refused" : ""}`, "data-photo": named.id },
    picture(kept?.content.preview ?? "", named.caption),
    h("h3", {}, perhaps(named.caption)),
    named.taken_at && h("p", {}, `Taken ${dayAndClock(named.taken_at)}`),
    whereabouts(kept, there),
    reason && h("p", { class: "error" }, `Not taken: ${reason}`),
    h("div", { class: "pair" }, reason && tryAgain(named.id), ...acts));
}

/** Photos of this person that the server does not have yet, for the start page. */
export async function waitingRows() {
  const waiting = (await photos.all()).filter(({ row, content }) => row.state !== "Received" && !content.out_since);
  return waiting.map((kept) => photoRow({ id: kept.row.id, caption: kept.content.caption, taken_at: kept.content.taken_at }, kept));
}

/** A list of photos that a record or a log names, or null where none is. @param {any[]} named @param {Record<string, string | null>} [there] by id: when the server received it */
export async function photoList(named, there = {}) {
  if (!named.length) return null;
  const kept = new Map((await photos.all()).map((one) => [one.row.id, one]));
  return h("section", { class: "part" }, h("h2", {}, "Photos"), h("ul", { class: "works photos" }, named.map((one) => photoRow(one, kept.get(one.id) ?? null, { there: there[one.id] }))));
}
