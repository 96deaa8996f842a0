/** Starts the tablet's page and leads from address to page. */

import { showBrief } from "./brief.js";
import { showCheck } from "./check.js";
import { showChoose } from "./choose.js";
import { showCommander } from "./commander.js";
import { showConditions, showReading } from "./conditions.js";
import { showContents } from "./contents.js";
import { app } from "./context.js";
import { showCorrect } from "./correct.js";
import { showDecision } from "./decision.js";
import { button, h } from "./dom.js";
import { newPlan } from "./draft.js";
import { showEmergency } from "./emergency.js";
import * as engine from "./engine.js";
import { here, leave, link, notice, saySent, sayKept, show } from "./frame.js";
import { showHome } from "./home.js";
import { clearedNotice, mark, noticeClearing, showReceived } from "./keeping.js";
import { showOperations } from "./joining.js";
import { showJudgement } from "./judgement.js";
import * as keeper from "./keeper.js";
import * as kit from "./kit.js";
import { chooseLanguage, followAgency, learnLanguages, loadLanguage } from "./languages.js";
import { showLock, showUnlock } from "./lock.js";
import * as logbook from "./logbook.js";
import { showMeeting } from "./meeting.js";
import * as outbox from "./outbox.js";
import { showOperationPhotos, showPhotos } from "./photo_page.js";
import * as photos from "./photos.js";
import { showPlan } from "./plan.js";
import { showQuestion } from "./pages.js";
import { showPersonBack, showReadBack } from "./readback.js";
import { showRecall } from "./recall.js";
import { showBring } from "./sealed_page.js";
import { clock } from "./say.js";
import { showSheet } from "./sheet.js";
import { showSign } from "./sign.js";
import * as store from "./store.js";
import { register } from "./updates.js";
import * as vault from "./vault.js";
import * as watching from "./watching.js";

const STEPS = { contents: showContents, check: showCheck, judgement: showJudgement, decision: showDecision, choose: showChoose, brief: showBrief, sign: showSign, sheet: showSheet, correct: showCorrect, photos: showPhotos };
const AFTER_SIGNING = ["sign", "sheet", "correct", "plan"];

/** The page before the present one, for the way back from the emergency page. */
let before = "#/";

/** @param {string} theme */
async function setTheme(theme) {
  app.theme = theme;
  document.documentElement.dataset.theme = theme;
  await store.write({ put: { settings: [{ name: "theme", value: theme }] } });
}

/** @param {string} id @param {string} step @param {string[]} rest */
async function openDraft(id, step, rest) {
  const at = location.hash;
  const still = here();
  if (app.draft?.id !== id) {
    await keeper.flush();
    const found = await keeper.load(id);
    if (!still()) return undefined; // left while it was read: the draft in hand is the other page's
    app.draft = found;
    if (app.draft) Object.assign(app.draft, { plan: app.draft.plan ?? newPlan(), photos: app.draft.photos ?? [] }); // begun on an older page
  }
  if (!app.draft) return show({ at, title: "Not on this tablet", body: [h("p", {}, "This assessment is not among the work on this tablet."), link("#/", "To the start", "big")] });
  const wanted = app.draft.status === "open" || AFTER_SIGNING.includes(step) ? step : "sheet";
  if (wanted === "plan") return showPlan(rest);
  return STEPS[wanted] ? STEPS[wanted]() : showQuestion(wanted, rest[0] === "check");
}

async function route() {
  const [, kind, id, step, ...rest] = location.hash.split("/");
  if (kind === "b" || kind === "o") void tellSent(); // a line may have been written on the page before
  if (kind === "emergency") return showEmergency(before);
  before = location.hash || "#/";
  if (kind === "theme") {
    await setTheme(app.theme === "day" ? "night" : "day");
    location.hash = "#/";
    return undefined;
  }
  if (kind === "language") {
    await chooseLanguage(id);
    location.hash = "#/";
    return undefined;
  }
  if (kind === "lock") return showLock();
  if (kind === "received") return showReceived();
  if (kind === "bring") return showBring();
  if (kind === "operations") return showOperations();
  if (kind === "o" && step === "photos") return showOperationPhotos(id);
  if (kind === "o") return step ? showReading(id, step) : showConditions(id);
  if (kind === "b" && step === "commander") return showCommander(id);
  if (kind === "b") return step ? showPersonBack(id, decodeURIComponent(step)) : showReadBack(id);
  if (kind === "m") return showMeeting(id);
  if (kind === "d") return openDraft(id, step ?? "contents", rest);
  return showHome();
}

/** Says in three words where finished records are, and how many have not been sent. */
async function tellSent() {
  const [{ mine: records, others }, pictures] = await Promise.all([outbox.unsent(), photos.unsent()]);
  const mine = records + (await logbook.unsent());
  const state = outbox.isSending() ? "Sending" : mine || pictures.mine ? "On device" : "Received";
  const words = [
    mine ? `${state}: ${mine} not sent` : "",
    pictures.mine ? `${mine ? "" : `${state}: `}${photoCount(pictures.mine)} not sent` : "",
    mine || pictures.mine ? "" : "Nothing waits to be sent",
    others ? `${others} of another person, locked` : "",
    pictures.others ? `${photoCount(pictures.others)} of another person, locked` : "",
  ];
  saySent(words.filter(Boolean).join("; "), state);
  await mark();
  if (location.hash === "" || location.hash === "#/") anew(showHome({ quiet: true }));
  else if (app.draft && location.hash === `#/d/${app.draft.id}/sheet`) anew(showSheet({ quiet: true }));
  else if (/^#\/o\/[^/]+\/photos$/.test(location.hash)) anew(showOperationPhotos(location.hash.split("/")[2], { quiet: true }));
}

/** @param {number} count */
const photoCount = (count) => `${count} ${count === 1 ? "photo" : "photos"}`;

/** Something new of an operation: its page is drawn anew where it is open. */
function tellConditions() {
  const [, kind, id, step] = location.hash.split("/");
  if (kind === "o" && !step) anew(showConditions(id, { quiet: true }));
  // Not under a finger that is tapping who is present.
  if (kind === "b" && !step && !document.getElementById("present")) anew(showReadBack(id, { quiet: true }));
  void tellSent();
}

/** Says how the work is kept; a failure stands above everything until it is mended. @param {{state: string, words: string}} kept */
function tellKept({ state, words }) {
  sayKept({ state, words: state === "saved" ? `${words} ${clock(new Date())}` : words });
  const failed = state === "failed";
  if (failed) notice(h("p", { role: "alert", id: "not-saved" }, words, " ", button("Save again", () => void keeper.flush(), { class: "control plain" })));
  else if (state === "saved" && document.getElementById("not-saved")) notice(null);
}

/** No page fails in silence; but one that has been left does not take the place of the present one. @param {string} at its address */
const fault = (at) => (/** @type {Error} */ error) => {
  console.error(error);
  show({ at, title: "This page could not be shown", body: [h("p", { role: "alert" }, `${error.message}. Your answers are kept. Go back to the start and continue from there.`), link("#/", "To the start", "big")] });
};

/** Draws the page anew that is on the screen. @param {Promise<any>} drawn */
const anew = (drawn) => void drawn.catch(fault(location.hash));

async function loadSettings() {
  app.theme = (await store.get("settings", "theme"))?.value ?? "day";
  document.documentElement.dataset.theme = app.theme;
  await loadLanguage();
  const device = await store.get("settings", "device");
  app.device = device?.value ?? crypto.randomUUID();
  if (!device) {
    await noticeClearing();
    await store.write({ put: { settings: [{ name: "device", value: app.device }] } });
  }
}

/** The questions and cautions, from the network or the cache of the service worker. */
async function loadQuestions() {
  const bundle = await (await fetch("/tablet/bundle.json")).json();
  app.screens = bundle.questions;
  app.cautions = bundle.cautions;
  learnLanguages(bundle.languages ?? {});
}

/** Asks who is signed in and fetches the kit; without a network the last kit serves. */
async function meet() {
  try {
    app.session = await kit.session();
    app.signedOut = false;
    return { person: app.session.person.id, online: true };
  } catch (error) {
    app.signedOut = error instanceof kit.SignedOut;
    const owners = await vault.lastOwner();
    return { person: owners.open[0] ?? owners.locked[0] ?? null, online: false };
  }
}

/** @param {{person: string, online: boolean}} who */
async function takeKit({ person, online }) {
  const kept = await kit.kept(person);
  const fresh = online ? await kit.refresh(person).catch(() => kept) : kept;
  if (!fresh) return false;
  app.kit = fresh;
  app.person = fresh.person;
  app.agency = fresh.agency;
  await followAgency(fresh.agency);
  return true;
}

async function nobody() {
  show({
    title: "Sign in first",
    body: [await clearedNotice({ list: false }), h("p", {}, "The first start on this tablet needs the network once, to fetch your agency's people, places and rules. After that it works without."), h("a", { class: "control big", href: "/accounts/login/?next=/tablet/" }, "Sign in")],
  });
}

/** @param {{person: string, online: boolean}} who */
async function work(who) {
  if (!(await takeKit(who))) return nobody();
  engine.start().then(
    () => (app.engine = "ready"),
    () => (app.engine = "missing"),
  ).then(() => tellSent());
  window.addEventListener("hashchange", () => {
    leave();
    void route().catch(fault(location.hash));
  });
  outbox.onChange(() => void tellSent());
  await route();
  outbox.watch();
  await watching.start({ tell: tellConditions, alarm: showRecall });
  return tellSent();
}

async function begin() {
  keeper.onSave(tellKept);
  await Promise.all([loadSettings(), loadQuestions()]);
  void register();
  const who = await meet();
  if (!who.person) return nobody();
  if (!(await vault.enter(who.person))) return showUnlock({ owner: who.person, opened: () => void work(/** @type {any} */ (who)) });
  return work(/** @type {any} */ (who));
}

/** One tab at a time writes: a second one could save older work over newer. */
async function alone() {
  if (!navigator.locks) return begin();
  return navigator.locks.request("opsrisk-tablet", { ifAvailable: true }, async (lock) => {
    if (lock) {
      await begin();
      return new Promise(() => {}); // held until the tab is closed
    }
    show({ title: "Open in another tab", body: [h("p", {}, "This tablet's page is already open. Go on there, or close it and open this one again.")] });
    return undefined;
  });
}

alone().catch((error) => {
  console.error(error);
  show({ title: "The page could not start", body: [h("p", { role: "alert" }, `${error.message}. Nothing on this tablet was changed. Close this page and open it again.`)] });
});
