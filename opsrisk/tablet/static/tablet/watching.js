/**
 * Watches the operations that this tablet follows: hears the other tablets every second, works out what the readings
 * since the assessment make of it, and raises a recall when that is more cautious than what people work by.
 */

import { app } from "./context.js";
import { caution } from "./draft.js";
import { onDevice } from "./engine.js";
import { SignedOut, session } from "./kit.js";
import * as logbook from "./logbook.js";
import { underWay } from "./outbox.js";
import { isoLocal } from "./say.js";
import { sound } from "./sound.js";
import * as vault from "./vault.js";

const EVERY_MS = 1000; // with an answer in well under a second, a line is on the other tablet within two
const SLOWEST_MS = 30000; // without a network
const FOLLOWED_AT_ONCE = 3;

/** @type {{wait: number, timer: number, tell: () => void, heard: Map<string, number>, alarm: (operation: any, recall: any) => void, running: boolean, over: boolean, out: boolean}} */
const watch = { wait: EVERY_MS, timer: 0, tell: () => {}, heard: new Map(), alarm: () => {}, running: false, over: false, out: true };

export const device = () => ({ id: app.device, client_version: app.version, offset_s: app.session?.offset_s ?? 0 });

/** The revision that people work by: of those that stand the most cautious. @param {any} watched */
export function workedBy(watched) {
  const standing = watched.current.map((/** @type {string} */ one) => watched.revisions[one]).filter(Boolean);
  return standing.sort((/** @type {any} */ a, /** @type {any} */ b) => caution(b.record.chosen.decision) - caution(a.record.chosen.decision))[0] ?? null;
}

/** Lines since the standing revisions: what came before was known to those who signed. @param {any} watched @param {any[]} lines */
function since(watched, lines) {
  const from = Math.max(-1, ...watched.current.map((/** @type {string} */ one) => watched.revisions[one]?.entry ?? -1));
  return lines.filter((row) => row.entry === null || row.entry > from);
}

/**
 * What the readings since the assessment make of it; null without an assessment or rules.
 * @param {any} watched @param {any[]} lines
 */
export async function present(watched, lines) {
  const standing = workedBy(watched);
  if (!standing || !app.kit.protocol) return null;
  const recent = since(watched, lines);
  const recalls = recent.filter((row) => row.line.kind === "recall").map((row) => row.line.content.to);
  const by = [standing.record.chosen.decision, ...recalls].sort((a, b) => caution(b) - caution(a))[0];
  const readings = recent.filter((row) => row.line.kind === "reading").map((row) => row.line.content);
  const given = { situation: standing.record.situation, lines: readings, protocol: app.kit.protocol.document, now: isoLocal(new Date()), working_by: by };
  return { ...(await onDevice("conditions", given)), by, standing, readings };
}

/** Two tablets may raise a recall for the same reading at once: whoever has heard one of them has heard both. @param {any} row */
const about = (row) => `${row.line.content.reading} ${row.line.content.to}`;

/** Recalls that this device has not said it heard. @param {any} watched @param {any[]} lines */
export function unheard(watched, lines) {
  const answered = new Set(lines.filter((row) => row.line.kind === "acknowledged" && row.line.device.id === app.device).map((row) => row.line.content.recall));
  const heard = new Set(lines.filter((row) => row.line.kind === "recall" && answered.has(row.line.id)).map(about));
  return since(watched, lines).filter((row) => row.line.kind === "recall" && !heard.has(about(row)));
}

/** After a new reading, here or on another tablet: is this still the decision? @param {any} watched */
export async function consider(watched) {
  const lines = await logbook.lines(watched.operation.id);
  const last = lines.findLast((row) => row.line.kind === "reading");
  const found = last && since(watched, lines).includes(last) ? await present(watched, lines) : null;
  if (found?.recall) {
    const { decision } = found.decision;
    const reading = last.line.content.reading;
    const row = found.due.find((/** @type {any} */ one) => one.field === last.line.content.field);
    const why = found.decision.rule?.text;
    const because = `${row?.label ?? last.line.content.field} ${reading.value} ${reading.unit}. ${why ?? ""}`.trim().slice(0, 900);
    const content = { from: found.by, to: decision, because, reading: last.line.id };
    await logbook.write({ operation: watched.operation, kind: "recall", content, at: isoLocal(new Date()), device: device() });
  }
  await alarms(watched);
}

/** Sounds and shows what nobody at this tablet has heard yet. @param {any} watched */
async function alarms(watched) {
  const [first] = unheard(watched, await logbook.lines(watched.operation.id));
  if (!first) return;
  if (!watch.heard.has(first.line.id)) watch.heard.set(first.line.id, Date.now());
  sound.start();
  watch.alarm(watched, first);
}

/** Somebody at this tablet has heard the recall: how long that took is part of the log. @param {any} watched @param {any} recall */
export async function acknowledge(watched, recall) {
  const shown = watch.heard.get(recall.line.id) ?? Date.now();
  const content = { recall: recall.line.id, after_s: Math.max(0, Math.round((Date.now() - shown) / 1000)) };
  await logbook.write({ operation: watched.operation, kind: "acknowledged", content, at: isoLocal(new Date()), device: device() });
  sound.stop();
  await alarms(watched);
  hurry();
}

/** One round: send what is here, hear what is new. */
async function round() {
  const open = (await logbook.followed()).filter((one) => !one.closed_at).slice(0, FOLLOWED_AT_ONCE);
  if (!open.length) return;
  if (watch.out) {
    if ((await session()).person.id !== vault.owner()) throw new SignedOut("somebody else is signed in");
    watch.out = false;
  }
  if (await logbook.send()) watch.tell(); // a refusal is news too
  const unheardOf = open.some((one) => one.upto < 0) ? await underWay() : new Set();
  for (const watched of open) {
    if (watch.over) return;
    // The server would not know what we speak of before the record is there.
    if (watched.upto < 0 && unheardOf.has(watched.operation.id)) continue;
    if (!(await logbook.hear(watched))) continue;
    const fresh = await logbook.watched(watched.operation.id);
    if (fresh) await consider(fresh);
    watch.tell();
  }
}

async function turn() {
  if (watch.running || watch.over) return;
  watch.running = true;
  try {
    await round();
    watch.wait = EVERY_MS;
  } catch (error) {
    // Signed out or without a network: the log goes on on this device, and is asked for again more slowly.
    watch.out ||= error instanceof SignedOut;
    watch.wait = error instanceof SignedOut ? SLOWEST_MS : Math.min(watch.wait * 2, SLOWEST_MS);
  } finally {
    watch.running = false;
    clearTimeout(watch.timer);
    watch.timer = window.setTimeout(turn, watch.wait);
  }
}

/** Now rather than at the next turn. */
export function hurry() {
  watch.wait = EVERY_MS;
  void turn();
}

/** No more rounds on this page: whoever locks it must not be asked about. Waits for one under way, but not for a dead network. */
export async function end() {
  watch.over = true;
  for (let waits = 0; watch.running && waits < 40; waits++) await new Promise((go) => setTimeout(go, 50));
}

/** @param {{tell: () => void, alarm: (watched: any, recall: any) => void}} given */
export async function start({ tell, alarm }) {
  Object.assign(watch, { tell, alarm });
  window.addEventListener("online", hurry);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && hurry());
  for (const watched of await logbook.followed()) await alarms(watched);
  void turn();
}
