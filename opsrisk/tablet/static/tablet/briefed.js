/**
 * Who has said what back on the record that stands: gathered from this tablet's own records, from what the other tablets
 * signed and from the log, and worked out by the same Python that prints it on the sheet.
 */

import { app } from "./context.js";
import { caution } from "./draft.js";
import { onDevice } from "./engine.js";
import * as logbook from "./logbook.js";
import * as outbox from "./outbox.js";
import { isoLocal } from "./say.js";
import { device } from "./watching.js";

/** @typedef {{record: any, digest: string, signatures: any[]}} Signed */

/** Every revision of an operation that this tablet has, its own and what it heard. @param {string} operation the id @returns {Promise<Map<string, Signed>>} */
async function revisions(operation) {
  const found = new Map();
  const own = (await outbox.entries()).filter((entry) => entry.bytes);
  for (const entry of own) {
    const { record, signatures } = JSON.parse(entry.bytes);
    if (record.operation.id === operation) found.set(entry.digest, { record, digest: entry.digest, signatures });
  }
  const watched = await logbook.watched(operation);
  for (const one of Object.values(watched?.revisions ?? {})) found.set(one.digest, { record: one.record, digest: one.digest, signatures: one.signatures });
  return found;
}

/** Names of the roster, by id. */
export const names = () => Object.fromEntries(app.kit.roster.map((/** @type {any} */ one) => [one.id, one.name]));

/**
 * The state of the briefing: on the record with `digest`, or on the most cautious of those that stand. Null without a record.
 * @param {string} operation the id @param {string} [digest]
 */
export async function briefingOf(operation, digest) {
  const known = await revisions(operation);
  if (!known.size || (digest && !known.has(digest))) return null;
  const watched = await logbook.watched(operation);
  const voided = watched?.voided ?? [];
  const lines = (await logbook.lines(operation)).map((row) => row.line);
  const given = { records: [...known.values()], lines, names: names(), voided };
  const ask = (/** @type {string} */ on) => onDevice("briefing", { ...given, digest: on });
  if (digest) return { ...(await ask(digest)).state, signed: known.get(digest) };
  const { standing } = await ask([...known.keys()][0]);
  const wary = standing.sort((/** @type {string} */ a, /** @type {string} */ b) => caution(known.get(b)?.record.chosen.decision) - caution(known.get(a)?.record.chosen.decision));
  if (!wary.length) return null;
  return { ...(await ask(wary[0])).state, signed: known.get(wary[0]) };
}

/** When, by whom and why a record was declared void at the desk, as this tablet heard it; or null. @param {string} operation the id @param {string} digest */
export const voidOf = async (operation, digest) => (await logbook.watched(operation))?.revisions[digest]?.void ?? null;

/** A line of the briefing, kept on this device when it resolves. @param {any} operation @param {string} kind @param {any} content */
export const note = (operation, kind, content) => logbook.write({ operation, kind, content, at: isoLocal(new Date()), device: device() });
