/**
 * Sends finished records, each exactly once. The bytes are frozen when the record enters the box; it
 * leaves only when the server's receipt names the same digest. A record that the server refuses stays,
 * with the reason, and does not hold up the others.
 */

import { canonical } from "./canonical.js";
import { NoServer, SignedOut, session } from "./kit.js";
import * as keeper from "./keeper.js";
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

/** Puts a finished draft's record into the box and marks the draft finished, in one transaction. @param {any} draft */
export async function enqueue(draft) {
  const bytes = canonical({ record: draft.record, signatures: draft.signatures });
  draft.status = "finished";
  draft.updated_at = new Date().toISOString();
  const content = { bytes, digest: draft.digest, title: draft.operation.title, decision: draft.chosen.decision };
  const entry = { id: draft.id, owner: draft.owner, agency: draft.agency, state: "On device", queued_at: draft.updated_at, reason: "", receipt: null };
  await store.write({ put: { outbox: [{ ...entry, ...(await vault.seal(content)) }], drafts: [await keeper.row(draft)] } });
  box.tell();
  void send();
}

/** Entries of the person whose vault is open, oldest first. */
export async function entries() {
  const rows = (await store.all("outbox")).filter((row) => row.owner === vault.owner());
  const opened = await Promise.all(rows.map(async (row) => ({ ...row, ...(await vault.unseal(row)) })));
  return opened.sort((a, b) => (a.queued_at < b.queued_at ? -1 : 1));
}

/** How many are not sent, of anybody, without opening what is sealed. */
export async function unsent() {
  const rows = (await store.all("outbox")).filter((row) => row.state !== "Received");
  return { mine: rows.filter((row) => row.owner === vault.owner()).length, others: rows.filter((row) => row.owner !== vault.owner()).length };
}

/** @param {any} entry @param {Record<string, any>} change */
async function note(entry, change) {
  const { bytes, digest, title, decision, ...row } = entry;
  await store.write({ put: { outbox: [{ ...row, ...change }] } });
  Object.assign(entry, change);
  box.tell();
}

/** The words of a refusal. @param {Response} response */
async function refusal(response) {
  try {
    const { errors } = await response.json();
    if (typeof errors === "string") return errors;
    const said = (/** @type {any} */ one) => (one.field ? `${one.field}: given ${one.given}; accepted: ${one.accepted}` : one.accepted);
    return errors.map(said).join(". ");
  } catch {
    return `The server answered ${response.status}.`;
  }
}

/** @param {any} entry @param {string} csrf */
async function post(entry, csrf) {
  await note(entry, { state: "Sending", reason: "" });
  let response;
  try {
    response = await fetch("/api/v1/records/", {
      method: "POST",
      headers: { "Content-Type": "application/json", "Idempotency-Key": entry.digest, "X-CSRFToken": csrf },
      body: entry.bytes,
    });
  } catch {
    await note(entry, { state: "On device" });
    throw new NoServer("no network");
  }
  if (response.status === 401) {
    await note(entry, { state: "On device" });
    throw new SignedOut("sign in to send");
  }
  if (response.status >= 500 || [404, 408, 409, 429].includes(response.status)) {
    await note(entry, { state: "On device" });
    throw new NoServer(`the server answered ${response.status}`);
  }
  if (!response.ok) return note(entry, { state: "On device", reason: await refusal(response) });
  return received(entry, await response.json());
}

/** @param {any} entry @param {any} receipt */
async function received(entry, receipt) {
  if (receipt.digest !== entry.digest) {
    return note(entry, { state: "On device", reason: "The server's receipt names another record. This one is kept." });
  }
  return note(entry, { state: "Received", reason: "", receipt });
}

/** @param {any} who the session @param {any[]} waiting */
function belongs(who, waiting) {
  return waiting.filter((entry) => entry.owner === who.person.id && entry.agency === who.agency.id);
}

async function sendAll() {
  const waiting = (await entries()).filter((entry) => entry.state !== "Received" && !entry.reason);
  if (!waiting.length) return;
  const who = await session();
  for (const entry of belongs(who, waiting)) await post(entry, who.csrf);
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
    box.why = "";
    box.wait = FIRST_WAIT_MS;
  } catch (error) {
    box.why = /** @type {Error} */ (error).message;
    // Signing in again opens this page anew, which sends: no use in asking until then.
    if (error instanceof NoServer) again();
  } finally {
    box.sending = false;
    box.tell();
  }
  if (box.more) await send();
}

/** Tries a refused record once more, after somebody has dealt with the reason. @param {string} id */
export async function retry(id) {
  const entry = (await entries()).find((one) => one.id === id);
  if (!entry) return;
  await note(entry, { reason: "" });
  await send();
}

/** Starts the triggers: now, when the network comes, when the page is looked at again. */
export function watch() {
  window.addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && void send());
  void send();
}
