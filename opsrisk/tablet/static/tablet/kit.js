/**
 * What the server knows and the tablet needs in the field: who is signed in, the people, places and
 * vehicles of the agency, and the protocol in force. Kept sealed, so that a start without a network
 * has the last of it, with its age.
 */

import * as vault from "./vault.js";

const OLD_AFTER_DAYS = 14; // agency's choice: older rules still decide, with a caution beside them

/** The server said that nobody is signed in. */
export class SignedOut extends Error {}
/** The server could not be reached. */
export class NoServer extends Error {}

/** A connection that died without a word must not hold up everything that waits behind it. */
export const PATIENCE_MS = 60000;

/** What the server said, or NoServer: a page of somebody else's network is no answer. @param {Response} response */
export async function spoken(response) {
  try {
    return await response.json();
  } catch {
    throw new NoServer("what answers is not the server: the network may want a sign-in of its own");
  }
}

/** @param {string} url */
export async function ask(url) {
  let response;
  try {
    response = await fetch(url, { headers: { Accept: "application/json" }, cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch {
    throw new NoServer("no network");
  }
  if (response.status === 401 || response.status === 403) throw new SignedOut("sign in to send");
  if (!response.ok) throw new NoServer(`the server answered ${response.status}`);
  return spoken(response);
}

/**
 * Who is signed in, a fresh token against forged requests, and how far this device's clock is off.
 * Asked anew before every sending: both change while a record waits.
 */
export async function session() {
  const sent = Date.now();
  const answer = await ask("/tablet/session.json");
  if (!answer.person) throw new SignedOut("sign in to send");
  const halfway = (sent + Date.now()) / 2;
  return { ...answer, offset_s: Math.round((Date.parse(answer.now) - halfway) / 1000) };
}

/** Fetches the kit and keeps it for `person`, whose vault must be open. @param {string} person */
export async function refresh(person) {
  const content = await ask("/tablet/kit.json");
  const fetched_at = new Date().toISOString();
  await vault.keep([{ store: "kit", row: { owner: person, fetched_at }, content }]);
  return { ...content, fetched_at };
}

/** The kit that was kept last, or null. @param {string} person */
export async function kept(person) {
  const [found] = await vault.read("kit", person);
  return found?.content ? { ...found.content, fetched_at: found.row.fetched_at } : null;
}

/** How old the kit is, in words, and whether that deserves a caution. @param {string} fetchedAt @param {number} now */
export function age(fetchedAt, now = Date.now()) {
  const days = Math.floor((now - Date.parse(fetchedAt)) / 86400000);
  const words = days < 1 ? "less than a day old" : `${days} ${days === 1 ? "day" : "days"} old`;
  return { words, old: days >= OLD_AFTER_DAYS };
}
