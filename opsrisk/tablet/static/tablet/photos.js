/**
 * Photos on the device, each for an assessment in hand or, after the signature, for its operation's log. Sealed like all
 * else. Their bytes go only when the server's receipt has named every digest, or thirty days after they were taken out.
 */

import { LARGEST_BYTES, chunkId, sealed } from "./photo_bytes.js";
import * as store from "./store.js";
import * as vault from "./vault.js";

const MB = 1024 * 1024;

/**
 * @typedef {{id: string, sha256: string, caption: string, taken_at: string}} Named as a record and the log name it
 * @typedef {{row: any, content: any}} Kept
 */

/**
 * Keeps a photo: on the disk, whole, when this resolves. Refused in words where it would take the room that text needs.
 * @param {{bytes: Uint8Array, draft: string | null, operation: any, agency: string, caption: string, taken_at: string, device: any, preview: string}} given
 *   draft: the assessment that it is taken for; null, with the operation, after the signature
 * @returns {Promise<Named>}
 */
export async function keep({ bytes, draft, operation, agency, caption, taken_at, device, preview }) {
  await checkRoom(bytes.length);
  const owner = vault.owner() ?? "";
  const id = crypto.randomUUID();
  const { key, chunks, about } = await sealed(bytes, { id, owner });
  const row = { id, owner, agency, draft, state: "On device", queued_at: new Date().toISOString(), receipt: null };
  const content = { ...about, caption, taken_at, device, key, preview, operation, out_since: "", reason: "" };
  try {
    await store.layAside();
    await vault.keep([{ store: "photos", row, content }], {
      spare: false,
      also: [{ store: "photos" }],
      adjust: ([made], rows) => [{ ...made, seq: 1 + Math.max(0, ...rows.map((/** @type {any} */ one) => one.seq ?? 0)) }],
      beside: { put: { chunks } },
    });
  } catch (error) {
    throw error instanceof store.NotSaved && error.full ? new store.NotSaved(noRoom, true) : error;
  }
  return { id, sha256: about.sha256, caption, taken_at };
}

/** Raises, in words, where a photo of this size cannot be kept. @param {number} size */
export async function checkRoom(size) {
  if (!size) throw new store.NotSaved("The photo is empty. Take it again.");
  if (size > LARGEST_BYTES) throw new store.NotSaved(`The photo is larger than ${LARGEST_BYTES / MB} MB. Take it again with fewer pixels.`);
  if (!(await store.hasRoom(size))) throw new store.NotSaved(noRoom, true);
}

const noRoom = "No room for this photo on the device: the rest is kept for what you write. Send first, or free some space.";

/** @param {Kept} photo @returns {Named} */
export const named = ({ row, content }) => ({ id: row.id, sha256: content.sha256, caption: content.caption, taken_at: content.taken_at });

const UNREADABLE = { caption: "Cannot be opened on this tablet", taken_at: "", preview: "", parts: [], out_since: "", reason: "Its seal does not open. Keep this tablet as it is and ask who looks after the server.", unreadable: true };

/** The photos of the person whose vault is open, in the order in which they were taken. @returns {Promise<Kept[]>} */
export async function all() {
  const found = (await vault.read("photos")).map(({ row, content }) => ({ row, content: content ?? UNREADABLE }));
  return found.sort((a, b) => (a.row.seq ?? 0) - (b.row.seq ?? 0));
}

/** @param {string} id */
export const one = async (id) => (await all()).find((photo) => photo.row.id === id) ?? null;

/** Those that were taken for an assessment and not taken out again. @param {string} draft */
export const takenFor = async (draft) => (await all()).filter(({ row, content }) => row.draft === draft && !content.out_since);

/**
 * What a record of this draft has to name: what it carries from the revision before, and what was taken for it. A photo whose
 * tab died before the draft could name it is found here again.
 * @param {any} draft @returns {Promise<Named[]>}
 */
export async function namedFor(draft) {
  const own = (await all()).filter(({ row }) => row.draft === draft.id);
  const carried = (draft.photos ?? []).filter((/** @type {Named} */ each) => !own.some(({ row }) => row.id === each.id));
  return [...carried, ...own.filter(({ content }) => !content.out_since && !content.unreadable).map(named)];
}

/**
 * Changes what is known of a photo. Another tab may have heard the receipt meanwhile: that stays, and what is gone stays gone.
 * @param {Kept} photo @param {{open?: any, inside?: any, remove?: Record<string, IDBValidKey[]>}} change open: in clear; inside: under the seal
 */
export async function note(photo, { open = {}, inside = {}, remove = {} }) {
  const content = { ...photo.content, ...inside };
  await vault.keep([{ store: "photos", row: { id: photo.row.id }, content }], {
    also: [{ store: "photos", key: photo.row.id }],
    adjust: ([made], row) => (row && row.state !== "Received" ? [{ ...row, ...open, iv: made.iv, sealed: made.sealed }] : []),
    beside: { remove },
  });
  Object.assign(photo.row, open);
  Object.assign(photo.content, inside);
}

/** @param {Kept} photo */
export const chunksOf = (photo) => photo.content.parts.map((/** @type {string} */ _, /** @type {number} */ n) => chunkId(photo.row.id, n));

/**
 * Takes a photo out of a draft, or puts it back. One that the draft carries from a revision before belongs to that revision,
 * whose record names it and whose receipt waits for it: this draft only names it no longer, and keeps what it left out.
 * @param {any} draft @param {string} id @param {string} since "" to put it back
 */
export async function takeOut(draft, id, since) {
  const photo = await one(id);
  if (photo?.row.draft === draft.id) return note(photo, { open: { out: Boolean(since) }, inside: { out_since: since, out_heard: "" } });
  const [named, left] = [draft.photos ?? [], draft.left_out ?? []];
  const moved = [...named, ...left].filter((/** @type {Named} */ each) => each.id === id);
  const others = (/** @type {Named[]} */ list) => list.filter((each) => each.id !== id);
  draft.photos = [...others(named), ...(since ? [] : moved)];
  draft.left_out = [...others(left), ...(since ? moved : [])];
  return undefined;
}

/** Removes photos for good with their bytes. @param {Kept[]} gone */
export function forget(gone) {
  const chunks = gone.flatMap(chunksOf);
  return store.write({ remove: { photos: gone.map(({ row }) => row.id), chunks } });
}

/** How many are not sent, of anybody, without opening what is sealed. */
export async function unsent() {
  const rows = (await store.all("photos")).filter((row) => row.state !== "Received" && !row.out);
  return { mine: rows.filter((row) => row.owner === vault.owner()).length, others: rows.filter((row) => row.owner !== vault.owner()).length };
}

/** The server has had these for long: their small pictures go, what is known of them stays. @param {Kept[]} old */
async function thin(old) {
  for (const { row, content } of old) {
    await vault.keep([{ store: "photos", row: { id: row.id }, content: { ...content, preview: "" } }], {
      also: [{ store: "photos", key: row.id }],
      adjust: ([made], found) => (found?.state === "Received" ? [{ ...found, iv: made.iv, sealed: made.sealed }] : []),
    });
  }
}

/**
 * Throws away what was taken out more than `days` ago, and what belonged to assessments that were thrown away. The server's
 * clock counts, from the first time that it was heard after the taking out: this device's own may jump by years.
 * @param {{now: string, days: number, drafts: string[]}} given
 */
export async function tidy({ now, days, drafts }) {
  const before = Date.parse(now) - days * 86400000;
  const readable = (await all()).filter(({ content }) => !content.unreadable);
  await thin(readable.filter(({ row, content }) => row.state === "Received" && content.preview && Date.parse(row.receipt.received_at) < before));
  const kept = readable.filter(({ row }) => row.state !== "Received");
  for (const photo of kept.filter(({ content }) => content.out_since && !content.out_heard)) await note(photo, { inside: { out_heard: now } });
  const old = ({ row, content }) => drafts.includes(row.draft) || (content.out_since && Date.parse(content.out_heard) < before);
  const gone = kept.filter(old);
  if (gone.length) await forget(gone);
}
