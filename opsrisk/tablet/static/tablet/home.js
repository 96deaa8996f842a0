/** Where work starts and is found again: drafts, finished records and what became of them. */

import { app, DECISION_WORDS, placeWords, titleWords } from "./context.js";
import { newDraft } from "./draft.js";
import { button, h } from "./dom.js";
import { here, link, show } from "./frame.js";
import { clearedNotice, unsentLong } from "./keeping.js";
import * as keeper from "./keeper.js";
import { waitingRows } from "./photo_rows.js";
import * as photos from "./photos.js";
import { age } from "./kit.js";
import { languageRow, otherLanguage } from "./languages.js";
import { asWritten } from "./language.js";
import * as outbox from "./outbox.js";
import { dayAndClock } from "./say.js";
import { verdict } from "./shapes.js";
import { perhaps } from "./speaking.js";
import * as store from "./store.js";
import * as vault from "./vault.js";

const KEPT_DAYS = 30;

async function begin() {
  const still = here();
  const draft = newDraft({ owner: app.person.id, agency: app.agency.id, now: new Date().toISOString() });
  keeper.keep(draft);
  await keeper.flush();
  if (still()) location.hash = `#/d/${draft.id}/${app.screens[0].id}`;
}

/** Puts a draft aside; it can be brought back for thirty days. @param {any} draft @param {string | undefined} when */
async function setAside(draft, when) {
  const still = here();
  draft.discarded_at = when;
  draft.aside_since = undefined;
  keeper.keep(draft);
  await keeper.flush();
  if (still()) void showHome();
}

/** @param {any} draft */
function draftRow(draft) {
  const last = `#/d/${draft.id}/${draft.status === "open" ? draft.at || "contents" : "sign"}`;
  const title = titleWords(draft.operation) || placeWords(draft.operation) || "No place yet";
  const state = draft.status === "open" ? "not signed" : "signed, not finished";
  if (draft.discarded_at) {
    return h("li", { class: "work" }, h("p", {}, `${title}, set aside ${dayAndClock(draft.discarded_at)}. Kept ${KEPT_DAYS} days.`), button("Bring it back", () => setAside(draft, undefined), { class: "control plain" }));
  }
  return h(
    "li",
    { class: "work" },
    h("h3", {}, title),
    h("p", {}, `Recovered work from ${dayAndClock(draft.updated_at)}: ${state}, revision ${draft.revision}, ${Object.keys(draft.answers).length} answers.`),
    h("div", { class: "pair" }, link(last, "Continue", "big"), draft.status === "open" && button("Set aside", () => setAside(draft, new Date().toISOString()), { class: "control plain" })),
  );
}

/** @param {any} entry */
function sentRow(entry) {
  const when = entry.state === "Received" ? ` ${dayAndClock(entry.receipt.received_at)} (server time)` : "";
  return h(
    "li",
    { class: `work ${entry.reason ? "refused" : ""}` },
    h("h3", {}, perhaps(entry.title)),
    verdict(entry.decision),
    h("p", { class: "state" }, `${entry.state}${when}`),
    serverSays(entry.receipt),
    entry.reason && h("p", { class: "error" }, `Refused by the server: ${asWritten(entry.reason)}`),
    h("div", { class: "pair" }, link(`#/d/${entry.id}/sheet`, "Sheet"), entry.reason && button("Try again", () => outbox.retry(entry.id), { class: "control plain" })),
  );
}

/** What the server found when it decided again. @param {any} receipt or null */
export function serverSays(receipt) {
  if (!receipt) return null;
  const differs = receipt.differs && `The server decides differently: ${DECISION_WORDS[receipt.server_decision]}. Tell the supervisor and the chief.`;
  const rival = receipt.rival && "Another tablet had already sent a newer revision of this operation. Both are kept.";
  const warnings = (receipt.warnings ?? []).map((/** @type {any} */ one) => perhaps(one.text ?? String(one)));
  const words = [differs, rival, ...warnings].filter(Boolean);
  return words.length ? h("ul", { class: "notice" }, words.map((one) => h("li", {}, one))) : null;
}

/**
 * Throws away what was set aside more than thirty days ago. The server's clock counts them, from the first time that it
 * was heard after the setting aside: this device's own may jump by years.
 * @param {any[]} drafts
 */
async function tidy(drafts) {
  const now = Date.parse(app.session?.now ?? "");
  if (Number.isNaN(now)) return drafts;
  const aside = drafts.filter((draft) => draft.status === "open" && draft.discarded_at);
  for (const draft of aside.filter((one) => !one.aside_since)) {
    draft.aside_since = app.session.now;
    keeper.keep(draft);
  }
  const old = aside.filter((draft) => Date.parse(draft.aside_since) < now - KEPT_DAYS * 86400000);
  if (old.length) await store.write({ remove: { drafts: old.map((draft) => draft.id) } });
  await photos.tidy({ now: app.session.now, days: KEPT_DAYS, drafts: old.map((draft) => draft.id) });
  return drafts.filter((draft) => !old.includes(draft));
}

/** What this tablet is ready for. */
async function readiness() {
  const kit = age(app.kit.fetched_at);
  const { protocol } = app.kit;
  const rules = protocol ? `Rules: ${asWritten(`${protocol.id} ${protocol.version}`)}, ${kit.words}` : "Rules: your agency has adopted no protocol";
  const rulesTodo = protocol ? (kit.old ? "Connect to fetch the rules in force before you rely on these." : "") : "Nothing can be decided until the safety officer adopts one at the desk.";
  const kept = await store.keepForGood();
  const locked = await vault.protectedByCode();
  const rows = [
    [rules, rulesTodo],
    [{ starting: "Deciding on this device: getting ready", ready: "Deciding on this device: ready, with or without a network", missing: "Deciding on this device: not possible; the server decides while there is a network" }[app.engine], ""],
    [kept ? "Storage: kept until you remove it" : "Storage: the browser may clear it when space runs short", kept ? "" : "Install this page on the home screen, and send finished records soon."],
    [locked ? "Lock: your signing code opens this tablet's work" : "Lock: not set", locked ? "" : "Set it, so that nobody else can read your work on this tablet."],
    languageRow(),
  ];
  return h("section", { class: "ready" }, h("h2", {}, "This tablet"), h("ul", {}, rows.map(([words, todo]) => h("li", {}, words, todo && h("strong", {}, ` ${todo}`)))),
    h("div", { class: "pair" }, link("#/lock", locked ? "Lock or sign out" : "Set the lock, or sign out"), link("#/theme", app.theme === "day" ? "Night colours" : "Day colours"), otherLanguage(), link("#/received", "What the server has of yours"), link("#/bring", "Bring in a sealed file")));
}

/** How often this page was begun: one begun earlier and ready later would show what is no longer so. Whether its heading still has to get the focus. */
const drawing = { begun: 0, loud: false };

/** @param {{quiet?: boolean}} [how] */
export async function showHome({ quiet = false } = {}) {
  const turn = ++drawing.begun;
  drawing.loud ||= !quiet;
  const at = location.hash;
  app.draft = null;
  const drafts = await tidy(await keeper.drafts());
  const entries = await outbox.entries();
  const open = drafts.filter((draft) => draft.status !== "finished" && !draft.discarded_at);
  const aside = drafts.filter((draft) => draft.discarded_at);
  const held = outbox.heldBecause();
  const waiting = await waitingRows();
  const notice = await clearedNotice({ then: showHome });
  const ready = await readiness();
  const late = await unsentLong(entries);
  if (turn !== drawing.begun) return;
  quiet = !drawing.loud;
  drawing.loud = false;
  show({
    title: asWritten(app.agency.name),
    over: `${asWritten(app.person.name)}${app.signedOut ? " · signed out of the server" : ""}`,
    wide: true,
    quiet,
    at,
    body: [
      app.signedOut && h("p", { class: "notice" }, "You are signed out of the server. Everything works here; to send, ", h("a", { class: "control plain", href: "/accounts/login/?next=/tablet/" }, "sign in")),
      notice,
      late,
      button("New assessment", begin, { class: "control big start", id: "new" }),
      h("div", { class: "pair" }, link("#/operations", "Operations under way: conditions, other tablets")),
      open.length > 0 && h("section", {}, h("h2", {}, "In hand"), h("ul", { class: "works" }, open.map(draftRow))),
      entries.length > 0 && h("section", {}, h("h2", {}, "Finished"), held && h("p", {}, `Waiting: ${held}.`), entries.some((entry) => entry.state !== "Received") && button("Send now", () => outbox.send(), { class: "control plain" }), h("ul", { class: "works" }, entries.toReversed().map(sentRow))),
      waiting.length > 0 && h("section", {}, h("h2", {}, "Photos not sent"), held && h("p", {}, `Waiting: ${held}.`), h("ul", { class: "works photos" }, waiting)),
      aside.length > 0 && h("section", {}, h("h2", {}, "Set aside"), h("ul", { class: "works" }, aside.map(draftRow))),
      ready,
      h("section", { class: "cautions" }, h("h2", {}, "Cautions"), h("ul", {}, app.cautions.map((one) => h("li", {}, one)))),
    ],
  });
}
