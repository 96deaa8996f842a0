/**
 * A risk that stays high goes to the incident commander by name: who that is says back decision, risk and gain, by radio or
 * telephone too, and accepts it or not. The briefing is not complete before. When it goes there the shared Python says.
 */

import { briefingOf, note } from "./briefed.js";
import { app } from "./context.js";
import { deliberate } from "./deliberate.js";
import { h } from "./dom.js";
import { here, link, show, showErrors } from "./frame.js";
import { asWritten } from "./language.js";
import { hearers, itemField, missing, saidWords } from "./said_items.js";
import { dayAndClock } from "./say.js";
import { chosen, group, tile } from "./tiles.js";
import { hurry } from "./watching.js";

const LEGENDS = { decision: "The decision: what was said?", risk: "The risk: what was said?", gain: "The gain: what was said?" };
const OTHER = "other";

/** The open loop of the commander on the page of all read-backs; nothing where nothing goes there. @param {string} id of the operation @param {any} asked */
export function commanderPart(id, asked) {
  if (!asked) return null;
  const words = {
    open: "Open: nobody has acknowledged the risk",
    wrong: "Open: not accepted, or not said as on the sheet",
    reopened: "Open again",
    closed: `${asWritten(asked.name)} accepts the risk, ${dayAndClock(asked.at)}, heard by ${asWritten(asked.heard_by)}`,
  }[asked.state];
  const because = asked.state === "closed" ? [] : asked.because;
  const row = h("li", { class: `work loop ${asked.state}`, id: "commander" },
    h("h2", {}, "Incident commander"),
    h("ul", {}, asked.why.map((/** @type {string} */ one) => h("li", {}, one))),
    h("p", { class: "state" }, words),
    because.length > 0 && h("ul", {}, because.map((/** @type {string} */ one) => h("li", {}, one))),
    link(`#/b/${id}/commander`, asked.state === "closed" ? "Acknowledge it again" : "The incident commander says it back", asked.state === "closed" ? "plain" : "big"));
  return h("ul", { class: "works loops" }, row);
}

/** Names as they are compared. @param {string} name */
const plain = (name) => name.trim().split(/\s+/).join(" ").toLowerCase();

/** Whether it is one of those to whom their own risk cannot go: who decided, and who goes in. @param {string} name @param {any} asked */
const barred = (name, asked) => asked.barred.some((/** @type {string} */ one) => plain(one) === plain(name));

/** Who the commander is: somebody of the roster whose own risk it is not, or a name that is typed. @param {any} asked */
function nameField(asked) {
  const people = app.kit.roster.filter((/** @type {any} */ one) => !barred(one.name, asked));
  const before = asked.name;
  const known = people.some((/** @type {any} */ one) => one.name === before);
  const typed = h("input", { type: "text", id: "commander-name", maxlength: 80, autocomplete: "off", value: known ? "" : before });
  const own = h("label", { class: "text", for: "commander-name", hidden: known || !before }, "Name of the incident commander", typed);
  const tiles = [
    ...people.map((/** @type {any} */ one) => tile({ name: "commander", value: one.id, label: h("span", { translate: "no" }, one.name), checked: one.name === before, kind: "chip" })),
    tile({ name: "commander", value: OTHER, label: "Somebody else", checked: Boolean(before) && !known, kind: "chip" }),
  ];
  const who = group({ id: "who-commands", legend: "Who is the incident commander?", kind: "chips", tiles, changed: () => (own.hidden = chosen(who, "commander") !== OTHER) });
  const read = () => {
    const picked = chosen(who, "commander");
    if (picked === OTHER) return { name: typed.value.trim(), id: "commander-name" };
    return { name: people.find((/** @type {any} */ one) => one.id === picked)?.name ?? "", id: "who-commands" };
  };
  return { element: h("section", { class: "part" }, who, own), read };
}

/** What is wrong with the name, in words; or nothing. @param {string} name @param {any} asked @param {string} heardBy the id */
function nameFault(name, asked, heardBy) {
  if (!name) return "Give the incident commander's name.";
  if (barred(name, asked)) return "Who decided or goes in cannot be the one to whom the risk goes.";
  const hearer = app.kit.roster.find((/** @type {any} */ one) => one.id === heardBy);
  if (hearer && plain(hearer.name) === plain(name)) return "Somebody else has to hear it.";
  return "";
}

/** Whether the commander takes it: asked apart, since it can be said back and still refused. */
function acceptance() {
  const tiles = [tile({ name: "accepts", value: "yes", label: "Yes, accepts it", kind: "chip" }), tile({ name: "accepts", value: "no", label: "No", kind: "chip" })];
  return group({ id: "accepts", legend: "Does the incident commander accept the risk?", kind: "chips", changed: () => {}, tiles });
}

/** The commander says it back. @param {string} id of the operation */
export async function showCommander(id) {
  const at = location.hash;
  const still = here();
  const state = await briefingOf(id);
  if (!state?.commander) return void (still() && (location.hash = `#/b/${id}`));
  const asked = state.commander;
  const who = nameField(asked);
  const fields = Object.entries(LEGENDS).map(([item, legend]) => ({ item, ...itemField(item, legend, asked) }));
  const accepts = acceptance();
  const heard = hearers();
  const confirm = deliberate();
  const keep = () => {
    const answers = fields.map(({ item, read }) => [item, read()]);
    const { name, id: field } = who.read();
    const heardBy = chosen(heard, "heard-by");
    const fault = nameFault(name, asked, heardBy);
    const errors = [...(fault ? [{ id: field, words: fault }] : []), ...missing(answers)];
    if (!chosen(accepts, "accepts")) errors.push({ id: "accepts", words: "Say whether the risk is accepted." });
    if (!heardBy) errors.push({ id: "heard", words: "Tap who heard it." });
    showErrors(errors);
    confirm.away();
    if (errors.length) return;
    const taken = chosen(accepts, "accepts") === "yes";
    const words = [h("b", {}, taken ? "The risk is accepted." : "The risk is not accepted: the briefing stays open."), saidWords(answers)];
    confirm.ask({ id: "said-confirm", words, label: h("span", {}, "Keep what was said by ", h("span", { translate: "no" }, name)), act: async () => {
      await note(state.signed.record.operation, "commander", { record: state.record, name, ...Object.fromEntries(answers), accepts: taken, heard_by: heardBy });
      hurry();
      if (still()) location.hash = `#/b/${id}`;
    } });
  };
  return show({
    at,
    wide: true,
    title: "Incident commander",
    over: asked.why.join(" · "),
    body: [h("p", { class: "why" }, "Tell it from the sheet, by radio or telephone too. Let the incident commander say it back, and tap what was said."), confirm.element, who.element, ...fields.map((one) => one.element), accepts, heard],
    back: `#/b/${id}`,
    next: { label: "Keep", act: keep },
  });
}
