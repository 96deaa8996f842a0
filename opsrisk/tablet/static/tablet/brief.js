/** The briefing: what is read aloud, and what each person said back. Nothing here has to be typed. */

import { app, go, personOf } from "./context.js";
import { h } from "./dom.js";
import { show } from "./frame.js";
import * as keeper from "./keeper.js";
import { isGuest } from "./people.js";
import { positionName } from "./reasons.js";
import { isoLocal } from "./say.js";

const TEXTS = [
  ["task", "Task", "What is done, where, and what counts as done."],
  ["recall", "Recall signal", "By voice, by line, by sound."],
  ["signals", "Other signals", ""],
  ["radio", "Radio", "Channel and call signs."],
  ["emergency", "Emergency plan", "One step a line: who calls, which way in, where the chamber is."],
  ["contingency", "If something changes", ""],
  ["remarks", "Anything else", ""],
];

/** What rarely changes from one day to the next: offered from the last briefing. */
const CARRIED = ["recall", "signals", "radio"];

const SAID_BACK = [
  ["task", "own task"],
  ["limit", "own limit"],
  ["recall", "recall signal"],
];

/** Everybody with a position, once for each position. */
function places() {
  return Object.entries(app.draft.answers)
    .filter(([field, answer]) => field.startsWith("positions.") && answer?.person)
    .map(([field, answer]) => ({ position: field.split(".")[1], person: personOf(answer.person) }))
    .filter(({ person }) => person);
}

/** @param {string} person @param {string} position */
const entryOf = (person, position) => app.draft.readBacks.find((/** @type {any} */ one) => one.person === person && one.position === position);

/** @param {any} person @param {string} position @param {string} item @param {boolean} said */
function note(person, position, item, said) {
  const draft = app.draft;
  const entry = entryOf(person.id, position) ?? { person: person.id, position, repeated: [], heard_by: app.person.id, at: "" };
  entry.repeated = SAID_BACK.map(([name]) => name).filter((name) => (name === item ? said : entry.repeated.includes(name)));
  entry.at = isoLocal(new Date());
  draft.readBacks = [...draft.readBacks.filter((/** @type {any} */ one) => one !== entry), entry].filter((one) => one.repeated.length);
  draft.record = null;
  keeper.keep(draft);
}

/** @param {{person: any, position: string}} place */
function saidBack({ person, position }) {
  const entry = entryOf(person.id, position);
  return h(
    "fieldset",
    { class: "saidback" },
    h("legend", {}, isGuest(person.id) ? person.name : `${person.name}, ${positionName(position).toLowerCase()}`),
    h("div", { class: "tiles three" }, SAID_BACK.map(([item, label]) => {
      const input = h("input", { type: "checkbox", checked: Boolean(entry?.repeated.includes(item)), on: { change: () => note(person, position, item, input.checked) } });
      return h("label", { class: "tile" }, input, h("span", { class: "mark", "aria-hidden": "true" }), h("span", { class: "label" }, label));
    })),
  );
}

/** The newest earlier briefing's words for what rarely changes. */
async function carried() {
  const earlier = (await keeper.drafts()).find((one) => one.id !== app.draft.id && CARRIED.some((name) => one.brief[name]));
  return earlier?.brief ?? {};
}

export async function showBrief() {
  const at = location.hash;
  const draft = app.draft;
  if (!draft.chosen) return go("choose");
  const before = await carried();
  for (const name of CARRIED) draft.brief[name] ??= before[name] ?? "";
  const text = ([name, label, hint]) => {
    const field = h("textarea", { rows: name === "emergency" ? 4 : 2, id: `brief-${name}`, value: draft.brief[name] ?? "", on: {
      input: () => {
        draft.brief[name] = field.value;
        draft.record = null;
        keeper.keep(draft);
      },
    } });
    return h("label", { class: "text" }, label, hint && h("span", { class: "hint" }, hint), field);
  };
  show({
    title: "Brief the team",
    over: "Read aloud; let each person say it back",
    wide: true,
    at,
    body: [
      h("section", {}, h("h2", {}, "Said back to you"), places().length ? places().map(saidBack) : h("p", {}, "No position has a name.")),
      h("section", {}, h("h2", {}, "In your words, for the sheet"), h("p", {}, "What stays empty is printed as not written down."), TEXTS.map(text)),
    ],
    back: `#/d/${draft.id}/choose`,
    next: { label: "Sign", act: () => go("sign") },
  });
}
