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

/**
 * Brings the work in; what is here already stays as it is.
 * @param {string} given the file's text @param {string} code
 * @returns {Promise<{brought: number, here: number}>}
 */
export async function bringIn(given, code) {
  const work = await vault.openFile(parsed(given), code);
  if (work.owner !== vault.owner()) throw new Error("This file belongs to another person. Only its owner can bring it in.");
  const count = { brought: 0, here: 0 };
  const each = async (/** @type {any[]} */ rows, /** @type {(one: any) => Promise<boolean>} */ bring) => {
    for (const one of rows) count[(await bring(one)) ? "brought" : "here"] += 1;
  };
  await each(work.photos, bringPhoto);
  await each(work.drafts, bringDraft);
  await each(work.entries, (one) => outbox.bringIn(one));
  await each(work.lines, (one) => logbook.bringIn(one));
  void outbox.send();
  return count;
}

/** @param {any} draft */
async function bringDraft(draft) {
  if (await store.get("drafts", draft.id)) return false;
  await vault.keep([keeper.row(draft)]);
  return true;
}

/** @param {any} photo */
async function bringPhoto({ id, draft, agency, queued_at, content, chunks }) {
  if (await store.get("photos", id)) return false;
  const row = { id, owner: vault.owner(), agency, draft, state: "On device", out: Boolean(content.out_since), queued_at, receipt: null };
  await vault.keep([{ store: "photos", row, content }], {
    also: [{ store: "photos" }],
    adjust: ([made], rows) => [{ ...made, seq: 1 + Math.max(0, ...rows.map((/** @type {any} */ one) => one.seq ?? 0)) }],
    beside: { put: { chunks: chunks.map(rowBytes) } },
  });
  return true;
}
