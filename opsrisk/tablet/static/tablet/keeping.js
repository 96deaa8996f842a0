/**
 * Whether the browser keeps what is here. It may clear a site's storage when space runs short or after weeks without use, all
 * of it at once; a cookie, which holds no more than a time and a count, outlives that and lets the next start say so.
 */

import { asWritten } from "./language.js";
import { perhaps } from "./speaking.js";
import { app, DECISION_WORDS } from "./context.js";
import { button, h } from "./dom.js";
import { link, show } from "./frame.js";
import { SignedOut, ask } from "./kit.js";
import * as logbook from "./logbook.js";
import * as photos from "./photos.js";
import { dayAndClock } from "./say.js";
import * as store from "./store.js";

const COOKIE = "opsrisk_work";
const YEAR_S = 365 * 86400;
const LONG_H = 4; // a shift's half: by then somebody should know that nothing has gone out

/**
 * Remembers outside of the storage that there was work here, and how much of it the server does not have: what is in hand too,
 * and of everybody, since all of it would be cleared. Nothing that is sealed is opened. Where there never was any, nothing is.
 */
export async function mark() {
  const [drafts, entries, pictures, lines] = await Promise.all(["drafts", "outbox", "photos", "log"].map(store.all));
  if (![drafts, entries, pictures, lines].some((rows) => rows.length) && !document.cookie.includes(COOKIE)) return;
  const waits = (/** @type {any} */ row) => row.state !== "Received" && !row.out;
  const unsent = drafts.filter((/** @type {any} */ row) => row.status !== "finished").length + [...entries, ...pictures, ...lines].filter(waits).length;
  const secure = location.protocol === "https:" ? "; Secure" : "";
  document.cookie = `${COOKIE}=${new Date().toISOString().slice(0, 16)}Z.${unsent}; path=/tablet/; max-age=${YEAR_S}; SameSite=Strict${secure}`;
}

/** At a start that finds no storage: was there some? The answer is kept until somebody has read it. */
export async function noticeClearing() {
  const found = document.cookie.match(/opsrisk_work=([\dT:-]+Z)\.(\d+)/);
  if (found) await store.write({ put: { settings: [{ name: "cleared", value: { since: found[1], unsent: Number(found[2]) } }] } });
}

/** @param {() => any} then draws the page again: one begun before may still hold the notice */
async function read(then) {
  await store.write({ remove: { settings: ["cleared"] } });
  document.getElementById("cleared")?.remove();
  listed = null;
  return then();
}

/**
 * @param {{list?: boolean, then?: () => any}} [how] list: with what the server has, for which somebody has to be signed in;
 *   then: what follows when it has been read
 */
export async function clearedNotice({ list = true, then = () => undefined } = {}) {
  const cleared = (await store.get("settings", "cleared"))?.value;
  if (!cleared) return null;
  return h("section", { class: "cannot", role: "alert", id: "cleared" },
    h("h2", {}, "The browser has cleared this tablet's storage"),
    h("p", {}, `There was work on it until ${dayAndClock(cleared.since)}; of that, ${cleared.unsent} had not been sent. What the server has received is listed here. Bring in a sealed file if you saved one. What is in neither is lost: write it down while you remember it.`),
    list && (listed ??= serverList()),
    h("div", { class: "pair" }, link("#/bring", "Bring in a sealed file"), button("I have read this", () => void read(then), { class: "control plain" })));
}

/** What has waited here for longer than it should. @param {any[]} entries of the outbox */
export async function unsentLong(entries, now = Date.now()) {
  const waiting = [
    ...entries.filter((one) => one.state !== "Received").map((one) => one.queued_at),
    ...(await photos.all()).filter(({ row, content }) => row.state !== "Received" && !content.out_since).map(({ row }) => row.queued_at),
    ...(await logbook.waiting()).map((row) => row.line.at),
  ];
  const long = waiting.filter((since) => now - Date.parse(since) > LONG_H * 3600000).length;
  return long > 0 && h("p", { class: "notice", id: "unsent-long" }, `${long} not sent for over ${LONG_H} hours. Find a network and send, or save a sealed file: `, link("#/lock", "Save a sealed file"));
}

/** The list in the notice: asked for once, and not at each time that the page around it is drawn. @type {any} */
let listed = null;

/** A place that says what the server has as soon as it has answered; nobody waits for it. */
function serverList() {
  const place = h("div", { role: "status" }, h("p", { class: "hint" }, "Asking the server"));
  ask("/tablet/received.json").then(inList, (error) => {
    listed = null; // the next time it is asked again
    return error instanceof SignedOut
      ? h("p", { class: "notice" }, "You are signed out of the server. Sign in to see what it has of yours: ", h("a", { class: "control plain", href: "/accounts/login/?next=/tablet/" }, "sign in"))
      : h("p", { class: "notice" }, "The server cannot be asked at the moment.");
  }).then((made) => place.replaceChildren(made));
  return place;
}

/** @param {any} found what the server answered */
function inList(found) {
  const record = (/** @type {any} */ one) => h("li", {}, perhaps(one.title), ", ", `revision ${one.revision}`, ": ", DECISION_WORDS[one.decision], ", ", `received ${dayAndClock(one.received_at)}`);
  const photo = (/** @type {any} */ one) => h("li", {}, "Photo: ", perhaps(one.caption), ", ", one.received_at ? `received ${dayAndClock(one.received_at)}` : "MISSING: not all of it has arrived");
  return h("section", { id: "server-has" },
    h("h2", {}, `Received from you in the last ${found.days} days`),
    found.records.length || found.photos.length ? h("ul", {}, found.records.map(record), found.photos.map(photo)) : h("p", {}, "No record and no photo."),
    h("p", {}, `Lines in operations' logs: ${found.lines}`));
}

/** What the server has of this person, whether or not it is on this tablet. */
export function showReceived() {
  show({ title: "What the server has of yours", over: asWritten(app.person.name), wide: true, body: [serverList()], back: "#/" });
}
