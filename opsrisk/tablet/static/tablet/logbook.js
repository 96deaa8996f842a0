/**
 * The conditions log of operations that this tablet follows. A line is kept here first and sent when there is a network;
 * what the other tablets wrote comes by asking the server for everything after the last place heard. Lines are only added.
 */

import { canonical, digest } from "./canonical.js";
import { hand } from "./courier.js";
import { NoServer, ask, session } from "./kit.js";
import * as store from "./store.js";
import * as vault from "./vault.js";

const rowId = (/** @type {string} */ id) => `${vault.owner()} ${id}`;
const FIRST = -1; // the place before everything

/** @param {string} name @returns {Promise<any[]>} */
const own = async (name) => (await vault.read(name)).flatMap(({ row, content }) => (content ? { ...row, ...content } : []));

/** Operations that this person follows on this tablet, the last one first. */
export const followed = async () => (await own("watch")).sort((a, b) => b.since - a.since);

/** @param {string} operation the id */
export const watched = async (operation) => (await followed()).find((one) => one.operation.id === operation) ?? null;

/** The lines of an operation in the order of the server; those it does not have yet come last. @param {string} operation the id */
export async function lines(operation) {
  const all = (await own("log")).filter((row) => row.line.operation.id === operation);
  return all.sort((a, b) => (a.entry ?? Infinity) - (b.entry ?? Infinity) || a.seq - b.seq);
}

/** Follows an operation from now on; nothing happens if it is followed already. @param {any} operation */
export async function follow({ id, title, site, place }) {
  if (await watched(id)) return;
  const row = { id: rowId(id), owner: vault.owner(), since: (await own("watch")).length };
  await vault.keep([{ store: "watch", row, content: { operation: { id, title, site, place }, upto: FIRST, revisions: {}, current: [], voided: [], closed_at: null } }]);
}

/** @param {string} operation the id */
export const unfollow = (operation) => store.write({ remove: { watch: [rowId(operation)] } });

/** Next place in this tablet's own count. @param {any[]} rows */
const next = (rows) => 1 + Math.max(0, ...rows.map((row) => row.seq ?? 0));

/**
 * Writes a line: kept on the device when this resolves.
 * @param {{operation: any, kind: string, content: any, at: string, device: any}} given
 */
export async function write({ operation, kind, content, at, device }) {
  const { id, title, site, place } = operation;
  const line = { format: "opsrisk.log/1", id: crypto.randomUUID(), operation: { id, title, site, place }, kind, at, by: vault.owner(), device, content };
  const row = { id: rowId(line.id), owner: vault.owner(), state: "On device", entry: null, reason: "" };
  const kept = { line, digest: await digest(line), name: "" };
  await vault.keep([{ store: "log", row, content: kept }], { also: [{ store: "log" }], adjust: ([made], rows) => [{ ...made, seq: next(rows) }] });
  return line;
}

/** What becomes of a line that is handed in. @param {any} row @param {any} who the session */
async function post(row, who) {
  const { answer, refused } = await hand({ url: "/tablet/log.json", body: canonical(row.line), type: "application/json", owner: row.owner, who });
  if (refused) return { reason: refused };
  if (typeof answer?.digest !== "string") throw new NoServer("what answers is not the server");
  if (answer.digest !== row.digest) return { reason: "The server's receipt names another line. This one is kept." };
  return { state: "Received", entry: answer.entry, reason: "" };
}

/** The reason of a refusal is sealed with the line, because the server repeats in it what was written. @param {any} kept @param {any} change */
function note(kept, { reason, ...open }) {
  const { line, digest: sum, name } = kept;
  return vault.keep([{ store: "log", row: { id: kept.id }, content: { line, digest: sum, name, reason } }], {
    also: [{ store: "log", key: kept.id }],
    adjust: ([made], row) => (row && row.state !== "Received" ? [{ ...row, ...open, reason: "", iv: made.iv, sealed: made.sealed }] : []),
  });
}

/** Sends what the server does not have, in the order in which it was written. A line that is refused stays, with the reason. @returns {Promise<boolean>} whether one was refused */
export async function send() {
  const waiting = (await own("log")).filter((row) => row.state !== "Received" && !row.reason).sort((a, b) => a.seq - b.seq);
  if (!waiting.length) return false;
  const who = await session();
  let refused = false;
  for (const row of waiting.filter((one) => one.owner === who.person.id)) {
    const change = await post(row, who);
    await note(row, change);
    refused ||= Boolean(change.reason);
  }
  return refused;
}

/** A refused line waits again, after somebody has dealt with the reason. @param {any} row as `lines` gives it */
export const retry = (row) => note(row, { reason: "" });

/** Lines of this person that the server does not have yet. */
export const waiting = async () => (await own("log")).filter((row) => row.state !== "Received" && row.line);

/** A line out of a sealed file; false if it is here already. @param {any} kept */
export async function bringIn({ line, digest: sum, name }) {
  if (await store.get("log", rowId(line.id))) return false;
  const row = { id: rowId(line.id), owner: vault.owner(), state: "On device", entry: null, reason: "" };
  await vault.keep([{ store: "log", row, content: { line, digest: sum, name } }], { also: [{ store: "log" }], adjust: ([made], rows) => [{ ...made, seq: next(rows) }] });
  await follow(line.operation);
  return true;
}

/** How many lines the server does not have yet. */
export const unsent = async () => (await store.all("log")).filter((row) => row.owner === vault.owner() && row.state !== "Received").length;

/**
 * Asks what is new on an operation and keeps it; true if something was.
 * @param {any} watch as `watched` gives it
 */
export async function hear(watch) {
  const news = await ask(`/tablet/operations/${watch.operation.id}.json?after=${watch.upto}`);
  const photos = news.photos ?? {};
  const told = (/** @type {any} */ one) => canonical([one.current, one.photos ?? {}]);
  const same = news.upto === watch.upto && told(news) === told(watch) && news.operation.closed_at === watch.closed_at;
  if (same) return false;
  const { operation, since } = watch;
  const revisions = { ...watch.revisions };
  for (const one of news.revisions) revisions[one.digest] = one;
  const content = { operation, upto: news.upto, revisions, current: news.current, photos, voided: news.voided ?? [], closed_at: news.operation.closed_at };
  const rows = [{ store: "watch", row: { id: watch.id, owner: watch.owner, since }, content }];
  for (const { line, digest: sum, name, entry } of news.lines) {
    rows.push({ store: "log", row: { id: rowId(line.id), owner: watch.owner, state: "Received", entry, reason: "", seq: 0 }, content: { line, digest: sum, name } });
  }
  await vault.keep(rows);
  return true;
}
