/** How fit and rested the people in the positions are: three short answers for each. */

import { button, h } from "./dom.js";
import { nameOf } from "./people.js";
import { NOT_KNOWN, choose, chosen, group, idOf, tile } from "./tiles.js";

/** Rounded up, so that a tap never makes anybody fresher than they are. */
const AWAKE = ["4", "8", "12", "16", "20", "24", "36"].map((value) => ({ value, label: `${value} h` }));
const DIVES = ["0", "1", "2", "3", "4"].map((value) => ({ value, label: value }));
/** What most people are on most mornings, in one tap a person; never in one tap for all. */
const FRESH = { fit: "yes", hours_awake: "8", dives_24h: "0" };
const FIT = [{ value: "yes", label: "Yes" }, { value: "no", label: "No" }];
const ASKED = [
  ["fit", "Fit to dive or work today?", FIT],
  ["hours_awake", "Awake for up to", AWAKE],
  ["dives_24h", "Dives in the last 24 hours", DIVES],
];

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, crew: any[]}} page
 */
export function conditionField(question, draft, { touch, crew }) {
  const given = draft.typing[question.field] ?? draft.answers[question.field] ?? {};
  const name = (/** @type {any} */ person, /** @type {any} */ asked) => `${idOf(question.field)}-${person.id}-${asked}`;
  const raw = () =>
    Object.fromEntries(crew.map((person) => [person.id, Object.fromEntries(ASKED.map(([asked]) => [asked, chosen(element, name(person, asked))]))]));

  const fresh = (/** @type {any} */ person) => {
    for (const [asked, value] of Object.entries(FRESH)) choose(element, name(person, asked), value);
    touch(raw());
  };
  const parts = crew.map((person) =>
    h(
      "section",
      { class: "person" },
      h("h2", {}, nameOf(person)),
      button("Fit, awake up to 8 h, no dive in 24 h", () => fresh(person), { class: "control big fresh" }),
      ASKED.map(([asked, legend, choices]) =>
        group({
          id: `${name(person, asked)}-group`,
          legend: /** @type {string} */ (legend),
          tiles: [.../** @type {any[]} */ (choices), NOT_KNOWN].map((choice) =>
            tile({ name: name(person, asked), ...choice, checked: given[person.id]?.[/** @type {string} */ (asked)] === choice.value }),
          ),
          changed: () => touch(raw()),
        }),
      ),
    ),
  );
  const element = h("div", { id: idOf(question.field) }, question.hint && h("p", { class: "hint" }, question.hint),
    crew.length ? parts : h("p", {}, "No position has a name yet. Fill the positions first; until then this counts as not known."));

  function read() {
    const answer = raw();
    const errors = crew.flatMap((person) =>
      ASKED.filter(([asked]) => !answer[person.id][/** @type {string} */ (asked)]).map(([asked, legend]) => ({
        id: `${name(person, asked)}-group`,
        words: `${nameOf(person)}: ${String(legend).replace(/\?$/, "")}. Choose one, or Not known.`,
      })),
    );
    return errors.length ? { errors } : { answer };
  }
  return { element, read };
}
