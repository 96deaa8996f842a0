/**
 * Saves the work in hand by itself. A change is on the disk within a second, and the page says "saved"
 * only when the database has said so.
 */

import * as vault from "./vault.js";

const WAIT_MS = 150; // lets a burst of taps become one write, far inside the second that is promised
const LONGEST_MS = 800; // for whoever types on and on: so much waits at most, and is on the disk within the second all the same

/** @type {{drafts: Map<string, any>, timer: number, longest: number, writing: Promise<void> | null, tell: (state: {state: string, words: string}) => void}} */
const hand = { drafts: new Map(), timer: 0, longest: 0, writing: null, tell: () => {} };

/** @param {(state: {state: string, words: string}) => void} tell */
export function onSave(tell) {
  hand.tell = tell;
}

/** A draft as it is kept: what may be seen by anybody, and what is sealed. @param {any} draft */
export function row(draft) {
  const { id, owner, agency, status, updated_at } = draft;
  return { store: "drafts", row: { id, owner, agency, status, updated_at }, content: draft };
}

/** Writes everything in hand; what could not be written stays in hand, unless it has changed again. */
async function write() {
  const drafts = [...hand.drafts.values()];
  hand.drafts.clear();
  try {
    await vault.keep(drafts.map(row));
    if (!hand.drafts.size) hand.tell({ state: "saved", words: "Saved on this device" });
  } catch (error) {
    for (const draft of drafts) if (!hand.drafts.has(draft.id)) hand.drafts.set(draft.id, draft);
    hand.tell({ state: "failed", words: `Not saved. ${/** @type {Error} */ (error).message}` });
  }
}

/** Writes what is waiting, one write after another. */
export async function flush() {
  clearTimeout(hand.timer);
  clearTimeout(hand.longest);
  hand.longest = 0;
  while (hand.writing) await hand.writing;
  if (!hand.drafts.size) return;
  hand.writing = write().finally(() => (hand.writing = null));
  await hand.writing;
}

/** Takes note of a change; it is written very soon. @param {any} draft */
export function keep(draft) {
  draft.updated_at = new Date().toISOString();
  hand.drafts.set(draft.id, draft);
  hand.tell({ state: "saving", words: "Saving" });
  clearTimeout(hand.timer);
  hand.timer = window.setTimeout(flush, WAIT_MS);
  hand.longest ||= window.setTimeout(flush, LONGEST_MS);
}

/** Drafts of the person whose vault is open, newest first. */
export async function drafts() {
  // One that cannot be opened must not hide the others.
  const readable = (await vault.read("drafts")).flatMap(({ content }) => content ?? []);
  return readable.sort((a, b) => (a.updated_at < b.updated_at ? 1 : -1));
}

/** @param {string} id */
export async function load(id) {
  const [found] = await vault.read("drafts", id);
  return found?.content ?? null;
}

// A tablet that is put away may never come back to this page: write at once.
document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && flush());
window.addEventListener("pagehide", () => void flush());
