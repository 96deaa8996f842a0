/**
 * Brief, sign, brief back: after signing each person on the sheet says own task, limit and abort signal, and whoever hears
 * it taps what was said. Nothing is called complete while one of them has not, or has said something else.
 */

import { briefingOf, note } from "./briefed.js";
import { commanderPart } from "./commander.js";
import { titleWords } from "./context.js";
import { deliberate } from "./deliberate.js";
import { button, h } from "./dom.js";
import { here, link, show, showErrors } from "./frame.js";
import { asWritten } from "./language.js";
import { hearers, itemField, missing, saidWords } from "./said_items.js";
import { clock, dayAndClock } from "./say.js";
import { verdict } from "./shapes.js";
import { perhaps } from "./speaking.js";
import { chosen } from "./tiles.js";
import { hurry } from "./watching.js";

const LEGENDS = { task: "Own task: what was said?", limit: "Own limit: what was said?", abort: "Abort signal: what was said?" };
const ITEMS = Object.keys(LEGENDS);

/** The state in words and a mark: never by colour alone. @param {any} state */
export function readiness(state) {
  return h("p", { class: `critical ready-state ${state.ready ? "is-ready" : "not-ready"}`, role: "status" }, h("span", { "aria-hidden": "true" }, state.ready ? "✓ " : "◌ "), state.words);
}

/** The state with the way to the read-backs, for pages about something else. @param {any} state @param {string} operation the id */
export const toReadBacks = (state, operation) => h("div", { class: "briefed" }, readiness(state), link(`#/b/${operation}`, "Brief back", "big"));

/** What has been called out on this page; drawn anew it only stands there. @type {Set<string>} */
const called = new Set();

/** Void: in a word, with who, when and why. @param {{at: string, by: string, reason: string}} void_ */
export function voidNotice({ at, by, reason }) {
  const key = `${at} ${by} ${reason}`;
  const role = called.has(key) ? null : "alert";
  called.add(key);
  return h("p", { class: "critical ready-state not-ready void", role }, h("strong", {}, "VOID: do not work by it."), " ", `Declared void ${dayAndClock(at)} by ${asWritten(by)}: ${asWritten(reason)}`);
}

/** @param {string} id of the operation @param {any} loop */
function personRow(id, loop) {
  const words = {
    open: "Open: has not said it back",
    wrong: "Open: not said as on the sheet",
    reopened: "Open again",
    closed: `Said back ${dayAndClock(loop.at)}, heard by ${asWritten(loop.heard_by)}`,
  }[loop.state];
  return h("li", { class: `work loop ${loop.state}` },
    h("h2", {}, perhaps(loop.name)),
    h("p", {}, loop.posts),
    h("p", { class: "state" }, words),
    loop.because.length > 0 && loop.state !== "closed" && h("ul", {}, loop.because.map((/** @type {string} */ one) => h("li", {}, one))),
    link(`#/b/${id}/${encodeURIComponent(loop.key)}`, [loop.state === "closed" ? "Say it again" : "Says it back", h("span", { class: "hidden" }, " ", perhaps(loop.name))], loop.state === "closed" ? "plain" : "big"));
}

/** Who is present when the briefing begins: everybody on the sheet until a tap says otherwise. @param {any} state @param {any} operation */
function beginning(state, operation) {
  const still = here();
  const confirm = deliberate();
  const begin = button("Begin the briefing", () => {
    const present = [...box.querySelectorAll("input:checked")].map((/** @type {any} */ one) => one.value);
    if (!present.length) return showErrors([{ id: "present", words: "Tap who is present." }]);
    return confirm.ask({ id: "begin-confirm", label: `Begin now, ${present.length} present`, act: async () => {
      await note(operation, "briefing", { record: state.record, present });
      hurry();
      return still() ? showReadBack(operation.id) : undefined;
    } });
  }, { class: "control big", id: "begin" });
  const chip = (/** @type {any} */ loop) => h("label", { class: "chip" }, h("input", { type: "checkbox", value: loop.key, checked: true }), h("span", { class: "mark", "aria-hidden": "true" }), h("span", { class: "label" }, perhaps(loop.name)));
  const box = h("fieldset", { id: "present" }, h("legend", {}, "Who is present?"), h("div", { class: "chips" }, state.loops.map(chip)));
  return h("section", { class: "part" }, h("h2", {}, "Begin"), h("p", {}, "The time from here to the last read-back is kept with the record."), confirm.element, box, begin);
}

/** What has been said in this round. @param {any} state */
function roundNow(state) {
  const round = state.rounds.find((/** @type {any} */ one) => one.record === state.record);
  if (!round) return null;
  return h("p", { class: "hint" }, `Begun ${clock(round.began_at)}, ${round.present.length} present, ${round.tries} said back`);
}

/** @param {string} id of the operation @param {{quiet?: boolean}} [how] */
export async function showReadBack(id, { quiet = false } = {}) {
  const at = location.hash;
  const state = await briefingOf(id);
  if (!state) return show({ at, title: "Brief back", body: [h("p", {}, "No signed record of this operation is on this tablet yet.")], back: `#/o/${id}` });
  const { record } = state.signed;
  const begun = state.rounds.some((/** @type {any} */ one) => one.record === state.record);
  const anyOpen = state.loops.some((/** @type {any} */ loop) => loop.state !== "closed");
  return show({
    at,
    quiet,
    wide: true,
    title: "Brief back",
    over: [titleWords(record.operation), `revision ${record.revision}`].join(" · "),
    body: [
      readiness(state),
      verdict(record.chosen.decision),
      commanderPart(id, state.commander),
      roundNow(state),
      !begun && anyOpen && state.loops.length > 0 ? beginning(state, record.operation) : h("section", {}, h("h2", {}, "Everybody on the sheet"), h("ul", { class: "works loops" }, state.loops.map((/** @type {any} */ loop) => personRow(id, loop)))),
      h("p", { class: "hint" }, "A change of people, limits or decision opens the read-backs concerned again."),
    ],
    back: `#/o/${id}`,
  });
}

/** One person says it back. @param {string} id of the operation @param {string} key of the loop */
export async function showPersonBack(id, key) {
  const at = location.hash;
  const still = here();
  const state = await briefingOf(id);
  const loop = state?.loops.find((/** @type {any} */ one) => one.key === key);
  if (!state || !loop) return showReadBack(id);
  const fields = ITEMS.map((item) => ({ item, ...itemField(item, LEGENDS[item], loop) }));
  const heard = hearers(loop.key);
  const confirm = deliberate();
  const keep = () => {
    const answers = fields.map(({ item, read }) => [item, read()]);
    const errors = missing(answers);
    if (!chosen(heard, "heard-by")) errors.push({ id: "heard", words: "Tap who heard it." });
    showErrors(errors);
    confirm.away();
    if (errors.length) return;
    confirm.ask({ id: "said-confirm", words: saidWords(answers), label: h("span", {}, "Keep what was said by ", h("span", {}, perhaps(loop.name))), act: () => record(Object.fromEntries(answers)) });
  };
  const record = async (/** @type {any} */ answers) => {
    await note(state.signed.record.operation, "read_back", { record: state.record, loop: key, heard_by: chosen(heard, "heard-by"), ...answers });
    hurry();
    if (still()) location.hash = `#/b/${id}`;
  };
  return show({
    at,
    wide: true,
    title: perhaps(loop.name),
    over: loop.posts,
    body: [h("p", { class: "why" }, "Ask; let the person say it; tap what was said. Do not read it out first."), confirm.element, ...fields.map((one) => one.element), heard],
    back: `#/b/${id}`,
    next: { label: "Keep", act: keep },
  });
}
