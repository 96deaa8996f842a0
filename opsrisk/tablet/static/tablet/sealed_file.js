/**
 * Work that has not been sent, as one file under its owner's signing code, and back from such a file. Ids stay as they are, so
 * that bringing it in twice, or on two tablets, or after it was sent, doubles nothing.
 */

import * as keeper from "./keeper.js";
import * as logbook from "./logbook.js";
import * as outbox from "./outbox.js";
import { fromText, text } from "./photo_bytes.js";
import * as photos from "./photos.js";
import * as store from "./store.js";
import * as vault from "./vault.js";

const FORMAT = "opsrisk.sealed_file/1";
const MOST_ROUNDS = 10000000; // more would only keep the tablet busy
const BYTES = ["salt", "iv", "sealed"];

/** A row's seal as text, and back. @param {any} row */
const rowText = (row) => ({ ...row, iv: text(row.iv), sealed: text(new Uint8Array(row.sealed)) });
/** @param {any} row */
const rowBytes = (row) => ({ ...row, iv: fromText(row.iv), sealed: fromText(row.sealed).buffer });

/** @param {any} photo */
async function withChunks({ row, content }) {
  const chunks = await Promise.all(photos.chunksOf({ row, content }).map((/** @type {string} */ id) => store.get("chunks", id)));
  return { draft: row.draft, agency: row.agency, id: row.id, queued_at: row.queued_at, content, chunks: chunks.filter(Boolean).map(rowText) };
}

/** Everything of the person whose vault is open that the server does not have. */
export async function unsentWork() {
  const entries = (await outbox.entries()).filter((one) => one.state !== "Received" && !one.unreadable);
  const pictures = (await photos.all()).filter(({ row, content }) => row.state !== "Received" && !content.unreadable);
  const wanted = new Set([...entries.map((one) => one.id), ...pictures.map(({ row }) => row.draft)]);
  const drafts = (await keeper.drafts()).filter((draft) => draft.status !== "finished" || wanted.has(draft.id));
  const lines = await logbook.waiting();
  return { owner: vault.owner(), drafts, entries, lines, photos: await Promise.all(pictures.map(withChunks)) };
}

/** The file's text. @param {string} code */
export async function sealedText(code) {
  await keeper.flush();
  const made = await vault.sealForFile(await unsentWork(), code);
  return JSON.stringify({ format: FORMAT, iterations: made.iterations, salt: text(made.salt), iv: text(made.iv), sealed: text(made.sealed) });
}

/** Hands the file to the browser to save; its name tells nothing but the time. @param {string} code */
export async function offerSealed(code) {
  const blob = new Blob([await sealedText(code)], { type: "application/json" });
  const name = `sealed-work-${new Date().toISOString().slice(0, 16).replace(/[T:]/g, "-")}.json`;
  const link = document.createElement("a");
  Object.assign(link, { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  return name;
}

/** @param {string} given */
function parsed(given) {
  let file;
  try {
    file = JSON.parse(given);
    for (const name of BYTES) file[name] = fromText(file[name]);
  } catch {
    file = null;
  }
  if (file?.format !== FORMAT || !(file.iterations > 0 && file.iterations <= MOST_ROUNDS)) throw new Error("This is not a sealed file of this program, or it was cut short.");
  return file;
}

/** @typedef {"brought" | "here" | "newer" | "older" | "without"} Outcome without: for want of room */

/**
 * Brings the work in. What people wrote comes first: photos take no room from it. Of a draft that is here too, the one that
 * went further stays in hand; nothing that was written in the other is thrown away.
 * @param {string} given the file's text @param {string} code
 * @returns {Promise<Record<Outcome, number>>}
 */
export async function bringIn(given, code) {
  const work = await vault.openFile(parsed(given), code);
  if (work.owner !== vault.owner()) throw new Error("This file belongs to another person. Only its owner can bring it in.");
  await keeper.flush();
  const count = { brought: 0, here: 0, newer: 0, older: 0, without: 0 };
  const each = async (/** @type {any[]} */ rows, /** @type {(one: any) => Promise<Outcome>} */ bring) => {
    for (const one of rows) count[await bring(one)] += 1;
  };
  const whether = (/** @type {boolean} */ brought) => (brought ? "brought" : "here");
  await each(work.entries, async (one) => whether(await outbox.bringIn(one)));
  await each(work.lines, async (one) => whether(await logbook.bringIn(one)));
  await each(work.drafts, bringDraft);
  await each(work.photos, bringPhoto);
  void outbox.send();
  return count;
}

/** Signed is signed: only the same record with more on it takes its place. Else more signatures, or as many and touched later. @param {any} theirs @param {any} ours */
function wentFurther(theirs, ours) {
  if (ours.status === "finished") return false;
  if (ours.signatures.length && theirs.digest !== ours.digest) return false;
  const more = theirs.signatures.length - ours.signatures.length;
  return more > 0 || (more === 0 && theirs.updated_at > ours.updated_at);
}

/** @param {any} draft of the file @returns {Promise<Outcome>} */
async function bringDraft(draft) {
  const ours = await keeper.load(draft.id);
  if (!ours && (await store.get("drafts", draft.id))) return "here"; // its seal does not open: it stays for whoever can
  if (!ours) {
    await vault.keep([keeper.row(draft)]);
    return "brought";
  }
  if (!wentFurther(draft, ours)) return ours.status === "finished" || draft.updated_at === ours.updated_at ? "here" : "older";
  const aside = { ...ours, id: crypto.randomUUID(), discarded_at: new Date().toISOString(), aside_since: undefined };
  await vault.keep([keeper.row(draft), ...(ours.signatures.length ? [] : [keeper.row(aside)])]);
  return "newer";
}

/** Under the same rules as one that is taken here. @param {any} photo @returns {Promise<Outcome>} */
async function bringPhoto({ id, draft, agency, queued_at, content, chunks }) {
  if (await store.get("photos", id)) return "here";
  const row = { id, owner: vault.owner(), agency, draft, state: "On device", out: Boolean(content.out_since), queued_at, receipt: null };
  try {
    await photos.checkRoom(content.size);
    await store.layAside();
    await vault.keep([{ store: "photos", row, content }], {
      spare: false,
      also: [{ store: "photos" }],
      adjust: ([made], rows) => [{ ...made, seq: 1 + Math.max(0, ...rows.map((/** @type {any} */ one) => one.seq ?? 0)) }],
      beside: { put: { chunks: chunks.map(rowBytes) } },
    });
  } catch (error) {
    if (error instanceof store.NotSaved && error.full) return "without";
    throw error;
  }
  return "brought";
}
