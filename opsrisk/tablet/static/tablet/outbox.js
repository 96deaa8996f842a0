/**
 * Sends finished records, each exactly once. The bytes are frozen when the record enters the box; it
 * leaves only when the server's receipt names the same digest. A record that the server refuses stays,
 * with the reason, and does not hold up the others.
 */

import { canonical, digest, hex } from "./canonical.js";
import { hand } from "./courier.js";
import { NoServer, SignedOut, session } from "./kit.js";
import * as keeper from "./keeper.js";
import * as logbook from "./logbook.js";
import * as photos from "./photo_sending.js";
import * as store from "./store.js";
import * as vault from "./vault.js";

const FIRST_WAIT_MS = 5000;
const LONGEST_WAIT_MS = 300000;

/** @type {{sending: boolean, more: boolean, wait: number, timer: number, why: string, tell: () => void}} */
const box = { sending: false, more: false, wait: FIRST_WAIT_MS, timer: 0, why: "", tell: () => {} };

/** @param {() => void} tell called whenever something in the box has changed */
export function onChange(tell) {
  box.tell = tell;
}

export const isSending = () => box.sending;

/** Why nothing is being sent at the moment, or "". */
export const heldBecause = () => box.why;

/** The order is counted, never told by the clock, which may be set back by years between two records. @param {any[]} made @param {any[]} rows */
const counted = ([made, ...others], rows) => [{ ...made, seq: 1 + Math.max(0, ...rows.map((one) => one.seq ?? 0)) }, ...others];

/**
 * Puts a finished draft's record into the box and marks the draft finished, in one transaction. The draft in hand is
 * marked only when that is done: a draft called finished that is not in the box would be seen by nobody.
 * @param {any} draft
 */
export async function enqueue(draft) {
  const bytes = canonical({ record: draft.record, signatures: draft.signatures });
  const queued_at = new Date().toISOString();
  const content = { bytes, digest: draft.digest, title: draft.operation.title, decision: draft.chosen.decision };
  const entry = { id: draft.id, owner: draft.owner, agency: draft.agency, state: "On device", queued_at, reason: "", receipt: null };
  const finished = { ...draft, status: "finished", updated_at: queued_at };
  await vault.keep([{ store: "outbox", row: entry, content }, keeper.row(finished)], { also: [{ store: "outbox" }], adjust: counted });
  Object.assign(draft, { status: "finished", updated_at: queued_at });
  await logbook.follow(draft.operation).catch(() => {}); // it can be followed later too
  box.tell();
  void send();
}

/** How many have signed what an entry holds. @param {string} bytes */
const signers = (bytes) => JSON.parse(bytes).signatures.length;

/** An entry out of a sealed file; false if it is here already with as many signatures, or as another record. @param {any} given */
export async function bringIn({ id, agency, queued_at, bytes, digest: sum, title, decision }) {
  const here = (await entries()).find((one) => one.id === id);
  if (here ? here.digest !== sum || signers(here.bytes) >= signers(bytes) : await store.get("outbox", id)) return false;
  const row = { id, owner: vault.owner(), agency, state: "On device", queued_at, reason: "", receipt: null };
  await vault.keep([{ store: "outbox", row, content: { bytes, digest: sum, title, decision } }], { also: [{ store: "outbox" }], adjust: counted });
  await logbook.follow(JSON.parse(bytes).record.operation).catch(() => {});
  return true;
}

/** Stands for one that cannot be opened: it is shown as that, and holds nobody up. */
const UNREADABLE = { unreadable: true, title: "Cannot be opened on this tablet", decision: "hold", bytes: "", digest: "", reason: "Its seal does not open. Keep this tablet as it is and ask who looks after the server." };

const inOrder = (/** @type {any} */ a, /** @type {any} */ b) => (a.seq ?? 0) - (b.seq ?? 0) || (a.queued_at < b.queued_at ? -1 : 1);

/** Entries of the person whose vault is open, in the order in which they were finished. */
export async function entries() {
  return (await vault.read("outbox")).map(({ row, content }) => ({ ...row, ...(content ?? UNREADABLE) })).sort(inOrder);
}

/** The operations of records that the server does not have yet. @returns {Promise<Set<string>>} */
export async function underWay() {
  const waiting = (await entries()).filter((entry) => entry.state !== "Received" && entry.bytes);
  return new Set(waiting.map((entry) => JSON.parse(entry.bytes).record.operation.id));
}

/** How many are not sent, of anybody, without opening what is sealed. */
export async function unsent() {
  const rows = (await store.all("outbox")).filter((row) => row.state !== "Received");
  return { mine: rows.filter((row) => row.owner === vault.owner()).length, others: rows.filter((row) => row.owner !== vault.owner()).length };
}

/**
 * Changes what is known of an entry, not what it holds. Another tab may have heard the receipt meanwhile: that stays.
 * The reason of a refusal is sealed with the rest, because the server repeats in it what was typed.
 * @param {any} entry @param {Record<string, any>} change
 */
async function note(entry, change) {
  const { bytes, digest: sum, title, decision, seq } = entry;
  const { reason = entry.reason, ...open } = change;
  const content = { bytes, digest: sum, title, decision, reason };
  const same = (/** @type {any} */ row) => row && row.seq === seq && row.state !== "Received"; // else it was finished anew, with more signatures
  await vault.keep([{ store: "outbox", row: { id: entry.id }, content }], {
    also: [{ store: "outbox", key: entry.id }],
    adjust: ([made], row) => (same(row) ? [{ ...row, ...open, reason: "", iv: made.iv, sealed: made.sealed }] : []),
  });
  Object.assign(entry, change);
  box.tell();
}

/** The key follows from the bytes: the same are stored once, and more signatures on a record are another sending. @param {any} entry */
const keyOf = async (entry) => hex(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(entry.bytes)));

/** @param {any} entry @param {any} who the session */
async function post(entry, who) {
  await note(entry, { state: "Sending", reason: "" });
  try {
    const { answer, refused } = await hand({ url: "/api/v1/records/", body: entry.bytes, type: "application/json", owner: entry.owner, who, key: await keyOf(entry) });
    return await (refused ? note(entry, { state: "On device", reason: refused }) : received(entry, answer));
  } catch (error) {
    await note(entry, { state: "On device" });
    throw error;
  }
}

/** True if the receipt names the record and each of its signatures. @param {any} entry @param {any} receipt */
async function covers(entry, receipt) {
  if (receipt.digest !== entry.digest) return false;
  const { signatures } = JSON.parse(entry.bytes);
  const listed = new Set(receipt.signatures ?? []);
  const named = (/** @type {any} */ one) => (receipt.verified ?? []).some((/** @type {any} */ other) => other.person === one.person && other.meaning === one.meaning);
  // A receipt of an older server names who signed and as what, without digests.
  const each = await Promise.all(signatures.map(async (/** @type {any} */ one) => (receipt.signatures ? listed.has(await digest(one)) : named(one))));
  return each.every(Boolean);
}

/** @param {any} entry @param {any} receipt */
async function received(entry, receipt) {
  if (typeof receipt?.digest !== "string") throw new NoServer("what answers is not the server");
  if (receipt.digest !== entry.digest) {
    return note(entry, { state: "On device", reason: "The server's receipt names another record. This one is kept." });
  }
  if (!(await covers(entry, receipt))) {
    return note(entry, { state: "On device", reason: "The server's receipt does not name every signature. The record is kept." });
  }
  return note(entry, { state: "Received", reason: "", receipt });
}

/** @param {any} who the session @param {any[]} waiting */
function belongs(who, waiting) {
  return waiting.filter((entry) => entry.owner === who.person.id && entry.agency === who.agency.id);
}

/** The digest of the record that this one revises, or null. @param {any} entry */
const previousOf = (entry) => (entry.bytes ? JSON.parse(entry.bytes).record.previous : null);

/**
 * Refused for a reason that passes: its forerunner stands here too and goes first, or a former release took the wrong
 * token for a refusal of the record.
 * @param {any} entry @param {any[]} all
 */
function passes(entry, all) {
  if (entry.reason.startsWith("CSRF")) return true;
  return entry.reason.startsWith("record.previous") && all.some((one) => one.digest && one.digest === previousOf(entry));
}

/** A revision waits until the one that it revises has been received, in whatever order they stand. */
async function sendAll() {
  const all = await entries();
  const waiting = all.filter((entry) => entry.state !== "Received" && (!entry.reason || passes(entry, all)));
  if (!waiting.length) return;
  const who = await session();
  let left = belongs(who, waiting);
  for (let sent = true; sent; ) {
    const unsent = new Set(all.filter((one) => one.state !== "Received").map((one) => one.digest));
    const next = left.find((entry) => !unsent.has(previousOf(entry)));
    sent = Boolean(next);
    left = left.filter((entry) => entry !== next);
    if (next) await post(next, who);
  }
}

function again() {
  clearTimeout(box.timer);
  box.timer = window.setTimeout(send, box.wait);
  box.wait = Math.min(box.wait * 2, LONGEST_WAIT_MS);
}

/** Sends everything that waits. One tab at a time: two would only repeat each other. */
export async function send() {
  box.more = box.sending; // asked while sending: what came in since is sent right after
  if (box.sending || !vault.owner()) return;
  box.sending = true;
  try {
    await sendAll();
    // Photos last: a record that is finished meanwhile goes before the next part of one.
    await photos.sendPhotos({ entries: await entries(), stop: () => box.more, tell: () => box.tell() });
    box.why = "";
    box.wait = FIRST_WAIT_MS;
  } catch (error) {
    box.why = /** @type {Error} */ (error).message;
    // Signing in again opens this page anew, which sends: no use in asking until then.
    if (!(error instanceof SignedOut)) again();
  } finally {
    box.sending = false;
    box.tell();
  }
  if (box.more) await send();
}

/** Tries a refused record once more, after somebody has dealt with the reason. @param {string} id */
export async function retry(id) {
  const entry = (await entries()).find((one) => one.id === id);
  if (!entry || entry.unreadable) return;
  await note(entry, { reason: "" });
  await send();
}

/**
 * A former release could call a draft finished whose record never got into the box, the disk being full, or leave a
 * record under a key that had just been replaced. The draft still holds it: it gets into the box now.
 */
async function rescue() {
  const boxed = new Set((await entries()).filter((entry) => !entry.unreadable).map((entry) => entry.id));
  const ghosts = (await keeper.drafts()).filter((draft) => draft.status === "finished" && draft.record && !boxed.has(draft.id));
  for (const draft of ghosts) await enqueue(draft);
}

/** Starts the triggers: now, when the network comes, when the page is looked at again. */
export function watch() {
  window.addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && void send());
  // Should it fail for want of room, the drafts are still there at the next start.
  void rescue().catch((error) => console.warn("Not put into the box:", error)).then(send);
}
