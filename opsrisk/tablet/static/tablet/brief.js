/** The briefing in words: what is read aloud and printed. What each person says back is taken down after signing. */

import { app, go } from "./context.js";
import { enters } from "./draft.js";
import { h } from "./dom.js";
import { show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import { chosen, group, tile } from "./tiles.js";

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

const GAINS = [
  "A life that may still be saved",
  "Somebody brought home to the family",
  "Evidence that would be lost",
  "Property",
  "Practice",
];
const OWN = "own";

/** @param {any} draft @param {string} name @param {string} words */
function write(draft, name, words) {
  draft.brief[name] = words;
  draft.record = null;
  keeper.keep(draft);
}

/** The newest earlier briefing's words for what rarely changes. */
async function carried(/** @type {any} */ draft) {
  const earlier = (await keeper.drafts()).find((one) => one.id !== draft.id && CARRIED.some((name) => one.brief[name]));
  return earlier?.brief ?? {};
}

/** What is gained by it, stated by a person: only where people go in. @param {any} draft */
function gain(draft) {
  const given = draft.brief.gain ?? "";
  const known = GAINS.includes(given);
  const words = h("textarea", { id: "gain-words", rows: 2, value: known ? "" : given, on: { input: () => write(draft, "gain", words.value.trim()) } });
  const own = h("label", { class: "text", hidden: known || !given }, "The gain, in your words", words);
  const tiles = [...GAINS.map((one) => tile({ name: "gain", value: one, label: one, checked: one === given })), tile({ name: "gain", value: OWN, label: "Something else", checked: Boolean(given) && !known })];
  const element = group({ id: "gain", legend: "What is gained by sending people in?", tiles, changed: () => {
    const picked = chosen(element, "gain");
    own.hidden = picked !== OWN;
    write(draft, "gain", picked === OWN ? words.value.trim() : picked);
  } });
  return h("section", {}, element, own);
}

/** @param {any} draft @param {string[]} given */
function text(draft, [name, label, hint]) {
  const field = h("textarea", { rows: name === "emergency" ? 4 : 2, id: `brief-${name}`, value: draft.brief[name] ?? "", on: { input: () => write(draft, name, field.value) } });
  return h("label", { class: "text" }, label, hint && h("span", { class: "hint" }, hint), field);
}

export async function showBrief() {
  const at = location.hash;
  const draft = app.draft;
  if (!draft.chosen) return go("choose");
  const before = await carried(draft);
  for (const name of CARRIED) draft.brief[name] ??= before[name] ?? "";
  const peopleGoIn = enters(draft.chosen.decision);
  const onward = () => {
    const stated = !peopleGoIn || (draft.brief.gain ?? "").trim();
    showErrors(stated ? [] : [{ id: "gain", words: "Say what is gained by sending people in." }]);
    if (stated) go("sign");
  };
  show({
    title: "Brief the team",
    over: "Read aloud; after signing each person says it back",
    wide: true,
    at,
    body: [
      peopleGoIn && gain(draft),
      h("section", {}, h("h2", {}, "In your words, for the sheet"), h("p", {}, "What stays empty is printed as not written down."), TEXTS.map((one) => text(draft, one))),
    ],
    back: `#/d/${draft.id}/choose`,
    next: { label: "Sign", act: onward },
  });
}
