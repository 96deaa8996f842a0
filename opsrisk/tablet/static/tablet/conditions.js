/** The conditions of an operation: every reading with its age, until when it holds, and a new one in a few taps. */

import { app, DECISION_WORDS, personOf, titleWords } from "./context.js";
import { answersOf } from "./answers_of.js";
import { deliberate } from "./deliberate.js";
import { briefingOf } from "./briefed.js";
import { newDraft } from "./draft.js";
import { button, h } from "./dom.js";
import { readingField } from "./field_reading.js";
import { here, link, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import * as logbook from "./logbook.js";
import { toReadBacks, voidNotice } from "./readback.js";
import { namedOf } from "./photo_page.js";
import { photoList } from "./photo_rows.js";
import { clock, isoLocal, span } from "./say.js";
import { verdict } from "./shapes.js";
import { signedBy } from "./signing.js";
import { perhaps } from "./speaking.js";
import { consider, device, hurry, present, workedBy } from "./watching.js";

const minutesTo = (/** @type {string} */ moment) => (Date.parse(moment) - Date.now()) / 60000;

/** Counts down in place; a reading that is too old says so in words. @param {any} row */
function dueRow(row) {
  const age = h("td", {});
  const left = h("td", { class: "left" });
  const line = h("tr", {}, h("th", { scope: "row" }, row.label), h("td", {}, h("b", {}, row.shown)), age, left,
    h("td", {}, link(`${location.hash.split("/").slice(0, 3).join("/")}/${row.field}`, ["Take again", h("span", { class: "hidden" }, ` ${row.label}`)])));
  const tell = () => {
    const minutes = minutesTo(row.until);
    age.textContent = `${span(-minutesTo(row.taken))} ago`;
    left.textContent = minutes > 0 ? `${span(minutes)} left` : `too old since ${clock(row.until)}`;
    line.classList.toggle("over", minutes <= 0);
  };
  tell();
  const ticking = setInterval(() => (line.isConnected ? tell() : clearInterval(ticking)), 1000);
  return line;
}

/** @param {any[]} rows */
function dueTable(rows) {
  const heads = ["Reading", "Value", "Age", "Still holds", "Next"].map((one) => h("th", { scope: "col" }, one));
  return h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Readings" }, h("table", { class: "conditions" }, h("thead", {}, h("tr", {}, heads)), h("tbody", {}, rows.map(dueRow))));
}

/** @param {any} row of the log @param {(row: any) => void} again sends a refused one once more */
function logLine(row, again) {
  const { kind, content, at, by } = row.line;
  const label = questionOf(content.field)?.label ?? content.field;
  const words = {
    reading: () => `${label}: ${content.reading.value} ${content.reading.unit}, ${content.reading.how}`,
    recall: () => `Recall: ${DECISION_WORDS[content.to]}. ${content.because}`,
    acknowledged: () => `Recall heard after ${content.after_s} s`,
    briefing: () => `Briefing begun, ${content.present.length} present`,
    read_back: () => `${perhaps(nameOf(content.loop))} said back: ${["task", "limit", "abort"].map(saidOf(content)).join("; ")}`,
    commander: () => `${asWritten(content.name)}, incident commander, ${content.accepts ? "accepts the risk" : "does not accept the risk"}: ${["decision", "risk", "gain"].map(saidOf(content)).join("; ")}`,
    photo: () => `Photo: ${perhaps(content.caption)}`,
  }[kind]?.() ?? "A line of a newer version of this program";
  const who = asWritten(row.name || (by === app.person.id ? app.person.name : ""));
  const state = row.reason ? `refused by the server: ${asWritten(row.reason)}` : row.state === "Received" ? "" : row.state;
  return h("li", {}, `${clock(at)} `, kind === "recall" ? h("b", {}, words) : words, h("small", {}, ` ${[who, state].filter(Boolean).join(", ")}`),
    row.reason && button("Try again", () => again(row), { class: "control plain" }));
}

/** One item as it was said. @param {any} content of a line */
const saidOf = (content) => (/** @type {string} */ item) => `${perhaps(content[item].said)}${content[item].right ? "" : " (not as on the sheet)"}`;

/** @param {string} key of a loop: a person, or a position that nobody named fills */
const nameOf = (key) => personOf(key)?.name ?? key.replace(/^(position:|guest-)/, "").replaceAll("_", " ");

/** @param {string} field */
const questionOf = (field) => app.screens.flatMap((screen) => screen.questions).find((one) => one.field === field && one.kind === "reading");

/** Who has signed what stands. @param {any} standing */
const signed = (standing) => h("section", { class: "part" }, h("h2", {}, "Signatures"), h("ul", {}, standing.signatures.map((/** @type {any} */ one) => h("li", {}, signedBy(one)))));

/** The next revision from what another tablet signed. @param {any} watched */
async function goOn(watched) {
  const still = here();
  const { record, digest } = workedBy(watched);
  const now = new Date().toISOString();
  const draft = newDraft({ owner: app.person.id, agency: app.agency.id, now });
  Object.assign(draft, { operation: structuredClone(record.operation), revision: record.revision + 1, previous: digest, photos: structuredClone(record.photos ?? []) });
  draft.answers = answersOf({ situation: record.situation, operation: record.operation, screens: app.screens, kit: app.kit, now });
  keeper.keep(draft);
  await keeper.flush();
  if (still()) location.hash = `#/d/${draft.id}/contents`;
}

/** @param {any} found @param {any} watched */
function decided(found, watched) {
  if (!found && watched.voided?.length) return h("p", { class: "critical" }, "No assessment stands. Nobody goes in on a void one: assess again.");
  if (!found) return h("p", { class: "notice" }, "No signed assessment of this operation has arrived yet. Readings are kept.");
  const { decision } = found.decision;
  const left = minutesTo(found.standing.record.decision.valid_until);
  return [
    verdict(found.by),
    h("p", { class: "critical", role: "timer" }, left > 0 ? `The assessment holds for ${span(left)}, until ${clock(found.standing.record.decision.valid_until)}` : `The assessment no longer holds since ${clock(found.standing.record.decision.valid_until)}. Assess again.`),
    decision !== found.by && h("p", {}, `On the readings of this moment the rules say: ${DECISION_WORDS[decision]}. What holds is the more cautious; the way back is a new assessment.`),
    watched.current.length > 1 && h("p", { class: "notice" }, "Two tablets decided apart. The more cautious one holds. ", link(`#/m/${watched.operation.id}`, "Put them together", "big")),
    h("section", { class: "part" }, h("h2", {}, "Readings"), dueTable(found.due)),
    signed(found.standing),
  ];
}

/** @param {string} id of the operation @param {{quiet?: boolean}} [how] */
export async function showConditions(id, { quiet = false } = {}) {
  const at = location.hash;
  const still = here();
  const watched = await logbook.watched(id);
  if (!watched) return show({ at, title: "Not followed", body: [h("p", {}, "This tablet does not follow this operation."), link("#/operations", "Operations under way", "big")], back: "#/" });
  const lines = await logbook.lines(id);
  const found = await present(watched, lines).catch((error) => ({ failed: error.message }));
  const briefing = await briefingOf(id).catch(() => null);
  const failed = found && "failed" in found;
  const leaving = deliberate();
  const again = (/** @type {any} */ row) => logbook.retry(row).then(() => {
    hurry();
    return still() && showConditions(id, { quiet: true });
  }).catch((/** @type {Error} */ error) => showErrors([{ id: "log", words: error.message }]));
  const stop = () => leaving.ask({ id: "stop-confirm", words: "This tablet would no longer sound a recall of this operation.", label: `Stop following ${titleWords(watched.operation)}`, act: () => logbook.unfollow(id).then(() => still() && (location.hash = "#/")) });
  return show({
    at,
    quiet,
    wide: true,
    title: "Conditions",
    over: [titleWords(watched.operation), watched.closed_at && "closed"].filter(Boolean).join(" · "),
    body: [
      (watched.voided ?? []).map((/** @type {string} */ one) => watched.revisions[one]?.void).filter(Boolean).map(voidNotice),
      failed ? h("p", { class: "cannot", role: "alert" }, `Cannot assess: ${/** @type {any} */ (found).failed}. Readings are kept.`) : decided(found, watched),
      briefing && toReadBacks(briefing, id),
      h("div", { class: "pair" }, app.screens.flatMap((screen) => screen.questions).filter((one) => one.kind === "reading").map((one) => link(`#/o/${id}/${one.field}`, one.label)), link(`#/o/${id}/photos`, "Photos")),
      await photoList(namedOf(watched, lines), watched.photos),
      h("section", { class: "part" }, h("h2", {}, "Log"), lines.length ? h("ul", { id: "log" }, lines.toReversed().map((row) => logLine(row, again))) : h("p", {}, "Nothing yet.")),
      h("div", { class: "pair" }, found && !failed && button("Assess again from here", () => goOn(watched), { class: "control plain" }), button("Stop following", stop, { class: "control plain" })),
      leaving.element,
    ],
    back: "#/",
  });
}

/** A new reading: one screen, the question's own field. @param {string} id @param {string} field */
export async function showReading(id, field) {
  const at = location.hash;
  const still = here();
  const watched = await logbook.watched(id);
  const question = questionOf(field);
  if (!watched || !question) return showConditions(id);
  const draft = { typing: {}, answers: {}, operation: watched.operation };
  const confirm = deliberate();
  /** @param {any} reading */
  const record = async (reading) => {
    await logbook.write({ operation: watched.operation, kind: "reading", content: { field, reading }, at: isoLocal(new Date()), device: device() });
    if (still()) location.hash = `#/o/${id}`;
    await consider(watched);
    return hurry();
  };
  const first = () => {
    const result = input.read();
    confirm.away();
    showErrors(result.errors ?? []);
    if (result.errors) return undefined;
    if (result.pending) return result.pending();
    if (result.answer === "unknown") return showErrors([{ id: input.element.id, words: "Give the reading, or go back." }]);
    const { value, unit, how, at: taken, low, high } = result.answer;
    const reading = { value, unit, how, at: taken, by: app.person.id, ...(low === undefined ? {} : { low, high }) };
    return confirm.ask({ id: "record-confirm", title: `${question.label}: ${value} ${unit}`, words: `${how}, ${clock(taken)}. It goes into the log and to every tablet on this operation; if it is worse, it may recall the divers.`, label: `Record ${value} ${unit}`, act: () => record(reading) });
  };
  const input = readingField(question, draft, { touch: (raw) => (draft.typing = { [field]: raw }), next: first, habit: app.agency?.units ?? "us", alone: true });
  return show({ at, title: question.label, over: titleWords(watched.operation), body: [confirm.element, input.element], back: `#/o/${id}`, next: { label: "Keep", act: first } });
}
