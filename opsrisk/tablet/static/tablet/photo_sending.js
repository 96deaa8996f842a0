/**
 * Sends photos part by part after the records that name them. What the server has already is not sent again; the bytes are
 * thrown away only on a receipt that names the photo's digest and that of each part. One that is refused stays, with the
 * reason, and does not hold up the others.
 */

import { canonical, digest } from "./canonical.js";
import { hand } from "./courier.js";
import { NoServer, session } from "./kit.js";
import { sha256, unsealed } from "./photo_bytes.js";
import * as photos from "./photos.js";
import * as store from "./store.js";
import * as vault from "./vault.js";

const UNREADABLE = "A part of it does not open on this tablet. Keep the tablet as it is and ask who looks after the server.";
const OTHER_RECEIPT = "The server's receipt does not name every part. The photo is kept.";

/** What is announced: the same bytes at every try. @param {import("./photos.js").Kept} photo @param {any} operation */
function manifestOf({ row, content }, { id, title, site, place }) {
  const { caption, taken_at, size, sha256: whole, part_bytes, parts, device } = content;
  return { format: "opsrisk.photo/1", id: row.id, operation: { id, title, site, place }, record: row.draft, caption, taken_at, by: row.owner, size, sha256: whole, part_bytes, parts, device };
}

/** True if the receipt names this photo and each of its digests. @param {any} manifest @param {any} receipt */
async function covers(manifest, receipt) {
  const same = receipt?.id === manifest.id && receipt.sha256 === manifest.sha256 && receipt.manifest === (await digest(manifest));
  return same && Array.isArray(receipt.parts) && canonical(receipt.parts) === canonical(manifest.parts);
}

/** The operation of a photo whose record, or whose operation's records, the server has; else null. @param {import("./photos.js").Kept} photo @param {any[]} entries of the outbox */
function operationOf({ row, content }, entries) {
  const recordOf = (/** @type {any} */ entry) => (entry.bytes ? JSON.parse(entry.bytes).record : null);
  if (row.draft) {
    const entry = entries.find((one) => one.id === row.draft && one.state === "Received");
    return entry ? recordOf(entry).operation : null;
  }
  const waits = entries.some((one) => one.state !== "Received" && recordOf(one)?.operation.id === content.operation.id);
  return waits ? null : content.operation;
}

/** @param {any} photo @param {any} who @param {any} more */
const say = (photo, who, more) => hand({ owner: photo.row.owner, who, ...more });

/**
 * Announces and sends what is missing; the last answer, the words of a refusal, or null when something more urgent waits.
 * @param {import("./photos.js").Kept} photo @param {any} manifest @param {any} who @param {() => boolean} stop
 */
async function parts(photo, manifest, who, stop) {
  let found = await say(photo, who, { url: "/tablet/photos.json", type: "application/json", body: canonical(manifest) });
  for (let n = 0; n < manifest.parts.length && !found.refused && !found.answer.receipt; n += 1) {
    if (!Array.isArray(found.answer.have)) throw new NoServer("what answers is not the server");
    if (found.answer.have.includes(n)) continue;
    if (stop()) return null;
    const body = await unsealed(await store.get("chunks", photos.chunksOf(photo)[n]), photo.content.key);
    if (!body || (await sha256(body)) !== manifest.parts[n]) return { refused: UNREADABLE };
    found = await say(photo, who, { url: `/tablet/photos/${manifest.id}/${n}`, type: "application/octet-stream", body });
  }
  return found;
}

/** The server has it all: the bytes go. On a full disk they go first, which makes the room to say so. @param {import("./photos.js").Kept} photo @param {any} receipt */
async function received(photo, receipt) {
  const chunks = photos.chunksOf(photo);
  const change = { open: { state: "Received", receipt }, remove: { chunks } };
  try {
    await photos.note(photo, change);
  } catch {
    await store.write({ remove: { chunks } });
    await photos.note(photo, change);
  }
}

/** @param {import("./photos.js").Kept} photo @param {any} operation @param {any} who @param {{stop: () => boolean, tell: () => void}} how */
async function sendOne(photo, operation, who, { stop, tell }) {
  const manifest = manifestOf(photo, operation);
  // A full disk must not keep a photo from leaving it: where the state cannot be written, it is sent all the same.
  await photos.note(photo, { open: { state: "Sending" }, inside: { reason: "" } }).catch(() => {});
  tell();
  let found;
  try {
    found = await parts(photo, manifest, who, stop);
  } catch (error) {
    await photos.note(photo, { open: { state: "On device" } }).catch(() => {});
    throw error;
  }
  const receipt = found?.answer?.receipt;
  if (receipt && (await covers(manifest, receipt))) return received(photo, receipt);
  const reason = found?.refused ?? (receipt ? OTHER_RECEIPT : "");
  return photos.note(photo, { open: { state: "On device" }, inside: { reason } });
}

/**
 * @param {{entries: any[], stop: () => boolean, tell: () => void}} given
 *   entries: the outbox, whose records go first; stop: whether something more urgent has come; tell: that a state has changed
 */
export async function sendPhotos({ entries, stop, tell }) {
  const waiting = (await photos.all()).filter(({ row, content }) => row.state !== "Received" && !content.reason && !content.out_since);
  const ready = waiting.map((photo) => ({ photo, operation: operationOf(photo, entries) })).filter(({ operation }) => operation);
  if (!ready.length) return;
  const who = await session();
  for (const { photo, operation } of ready) {
    if (stop() || photo.row.owner !== vault.owner()) return;
    if (photo.row.owner !== who.person.id || photo.row.agency !== who.agency.id) continue;
    await sendOne(photo, operation, who, { stop, tell });
    tell();
  }
}

/** Tries a refused photo once more, after somebody has dealt with the reason. @param {string} id */
export async function retry(id) {
  const photo = await photos.one(id);
  if (photo && !photo.content.unreadable) await photos.note(photo, { inside: { reason: "" } });
}
