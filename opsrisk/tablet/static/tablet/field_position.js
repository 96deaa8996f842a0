/** One position: who fills it, and the three things that have to be true of that person. */

import { button, h } from "./dom.js";
import { guestId, isGuest, nameOf } from "./people.js";
import { NOT_KNOWN, choose, chosen, group, idOf, tile } from "./tiles.js";

const NOBODY = "nobody";
const OTHER = "other";
const STATES = [
  ["qualified", "Qualified and current for it?"],
  ["ready", "Ready now?"],
  ["sole_duty", "Nothing else to do?"],
];
const ANSWERS = [{ value: "yes", label: "Yes" }, { value: "no", label: "No" }, NOT_KNOWN];

/** @param {any} given @returns {string} which name tile stands for this answer */
function who(given) {
  if (given.person) return isGuest(given.person) ? OTHER : given.person;
  return { no: NOBODY, unknown: "unknown" }[given.filled] ?? "";
}

/** What is known of a person's papers, in a few words. @param {any} person */
function papers(person) {
  const current = person.qualifications.filter((/** @type {any} */ one) => one.current).map((/** @type {any} */ one) => one.label);
  const lapsed = person.qualifications.filter((/** @type {any} */ one) => !one.current).map((/** @type {any} */ one) => `${one.label} expired`);
  return [...current, ...lapsed].join(", ");
}

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, roster: any[], taken: (id: string) => string}} page  taken: the position a person already has
 */
export function positionField(question, draft, { touch, roster, taken }) {
  const id = idOf(question.field);
  const given = draft.typing[question.field] ?? draft.answers[question.field] ?? {};
  const name = (/** @type {string} */ state) => `${id}-${state}`;

  const names = group({
    id: name("who"),
    legend: "Who fills it?",
    tiles: [
      ...roster.map((person) =>
        tile({
          name: id,
          value: person.id,
          label: nameOf(person),
          words: [taken(person.id) && `is ${taken(person.id)}`, papers(person)].filter(Boolean).join(" · "),
          checked: who(given) === person.id,
        }),
      ),
      tile({ name: id, value: OTHER, label: "Somebody else", words: "not on this roster", checked: who(given) === OTHER }),
      tile({ name: id, value: NOBODY, label: "Nobody", checked: who(given) === NOBODY }),
      tile({ name: id, ...NOT_KNOWN, checked: who(given) === "unknown" }),
    ],
    changed: () => changed(),
  });
  const states = STATES.map(([state, legend]) =>
    group({
      id: name(`${state}-group`),
      legend,
      kind: "tiles three",
      tiles: ANSWERS.map((answer) => tile({ name: name(state), ...answer, checked: given[state] === answer.value })),
      changed: () => changed(),
    }),
  );
  const all = button("All three: yes", () => {
    for (const [state] of STATES) choose(element, name(state), "yes");
    changed();
  }, { class: "control big", id: name("all") });
  const condition = h("div", { class: "states" }, all, states);
  const element = h("div", { class: "position", id }, names, condition);

  function raw() {
    const person = chosen(element, id);
    const filled = { [NOBODY]: "no", unknown: "unknown", "": "" }[person] ?? "yes";
    const rest = Object.fromEntries(STATES.map(([state]) => [state, chosen(element, name(state))]));
    const guest = person === OTHER ? guestId(question.field.split(".")[1]) : null;
    return { person: roster.some((one) => one.id === person) ? person : guest, filled, ...rest };
  }
  function changed() {
    condition.hidden = raw().filled !== "yes";
    touch(raw());
  }
  condition.hidden = raw().filled !== "yes";

  function read() {
    const answer = raw();
    if (!answer.filled) return { errors: [{ id: name("who"), words: "Choose who fills it, Nobody, or Not known." }] };
    if (answer.filled !== "yes") return { answer: { person: null, filled: answer.filled, qualified: answer.filled, ready: answer.filled, sole_duty: answer.filled } };
    const errors = STATES.filter(([state]) => !answer[state]).map(([state, legend]) => ({ id: name(`${state}-group`), words: `${legend} Choose Yes, No or Not known.` }));
    return errors.length ? { errors } : { answer };
  }
  return { element, read };
}
