/** A number with its unit: typed or tapped, read back in words when it is unusual. */

import { button, h } from "./dom.js";
import { earlier, keypad } from "./keypad.js";
import { parseNumber } from "./numbers.js";
import { asWritten } from "./language.js";
import { shownNumber } from "./speaking.js";
import { inWords } from "./spoken_numbers.js";
import { chosen, group, idOf, tile } from "./tiles.js";

const UNITS_OF = { us: ["kn", "ft", "F", "in"], metric: ["kn", "m", "C", "cm", "m/s"] };

/** The unit that the agency uses, or the first on offer. @param {any[]} units @param {string} habit */
export const defaultUnit = (units, habit) => units.find((one) => (UNITS_OF[habit] ?? []).includes(one.unit))?.unit ?? units[0].unit;

/** @param {any} question @param {any} draft @param {string} habit */
function start(question, draft, habit) {
  const typing = draft.typing[question.field];
  if (typing) return typing;
  const answer = draft.answers[question.field];
  if (answer === "unknown") return { text: "", unit: defaultUnit(question.units, habit), unknown: true };
  if (answer) return { text: answer.typed, unit: answer.unit, unknown: false, confirmed: answer.value };
  return { text: "", unit: defaultUnit(question.units, habit), unknown: false };
}

/** @param {any} unit @param {string} value @param {() => void} yes @param {() => void} no */
function readBack(unit, value, yes, no) {
  return h(
    "div",
    { class: "readback", role: "alert", tabindex: "-1" },
    h("h2", {}, `${value} ${unit.name}?`),
    h("p", { class: "critical" }, `You gave ${asWritten(inWords(value))} ${unit.name}.`),
    h("p", {}, `Usual is ${unit.usual[0]} to ${unit.usual[1]} ${unit.name}.`),
    h("div", { class: "pair" }, button(`Yes, ${value} ${unit.unit} is right`, yes, { class: "control big" }), button("Change it", no, { class: "control big" })),
  );
}

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, next: () => void, habit: string, extra?: (state: any) => {elements: any[], read: (parsed: any) => any}}} page
 *   extra: what a reading asks besides its number
 */
export function numberField(question, draft, { touch, next, habit, extra }) {
  const id = idOf(question.field);
  const state = start(question, draft, habit);
  const unitOf = (/** @type {string} */ name) => question.units.find((/** @type {any} */ one) => one.unit === name);

  const suffix = h("span", { class: "unit", id: `${id}-unit` }, unitOf(state.unit).name);
  const field = h("input", {
    id: `${id}-field`,
    type: "text",
    inputmode: "decimal",
    autocomplete: "off",
    "aria-label": question.label,
    "aria-describedby": `${id}-unit`,
    value: state.text,
    on: { focus: () => field.select(), input: () => change({ text: field.value, unknown: false, confirmed: "", window: null }) },
  });
  earlier(field);
  const notKnown = tile({ name: `${id}-unknown`, value: "unknown", label: "Not known", checked: state.unknown });
  const unknownBox = notKnown.querySelector("input");
  unknownBox.type = "checkbox"; // tapping it again takes it back
  unknownBox.addEventListener("change", () => {
    if (unknownBox.checked) field.value = "";
    change({ text: field.value, unknown: unknownBox.checked, confirmed: "", window: null });
  });
  const confirmBox = h("div", {});

  /** @param {Record<string, any>} given */
  function change(given) {
    Object.assign(state, given);
    unknownBox.checked = state.unknown;
    confirmBox.replaceChildren();
    touch({ ...state });
  }

  const units = group({
    id: `${id}-units`,
    legend: "Unit",
    hidden: true,
    kind: "chips",
    tiles: question.units.map((/** @type {any} */ one) =>
      tile({ name: `${id}-u`, value: one.unit, label: one.name.length > 8 ? one.unit : one.name, checked: one.unit === state.unit, kind: "chip" }),
    ),
    changed: () => {
      change({ unit: chosen(units, `${id}-u`), confirmed: "", window: null });
      suffix.textContent = unitOf(state.unit).name;
    },
  });

  const more = extra?.(state);
  const below = question.units.some((/** @type {any} */ one) => Number(one.possible[0]) < 0);
  const entry = h("div", { class: "entry" }, question.hint && h("p", { class: "hint" }, question.hint),
    h("div", { class: "number", id }, field, suffix), question.units.length > 1 && units, confirmBox);
  const aside = h("div", { class: "aside-answers" }, more?.elements ?? []);
  const element = h("div", { class: "number-field" }, entry, keypad(field, notKnown, { below }), aside);

  function confirm(/** @type {any} */ unit, /** @type {string} */ value) {
    const yes = () => {
      change({ confirmed: value });
      next();
    };
    const no = () => {
      confirmBox.replaceChildren();
      field.focus();
    };
    confirmBox.replaceChildren(readBack(unit, value, yes, no));
    confirmBox.firstElementChild.focus();
  }

  function read() {
    if (state.unknown) return { answer: "unknown" };
    const unit = unitOf(state.unit);
    const parsed = parseNumber(field.value, unit, question.units);
    if ("error" in parsed) return { errors: [{ id, words: parsed.error }] };
    const rest = more?.read(parsed) ?? {};
    if (rest.errors) return rest;
    if (parsed.unusual && state.confirmed !== parsed.value) return { pending: () => confirm(unit, parsed.value) };
    return { answer: { value: parsed.value, unit: state.unit, typed: field.value, ...rest } };
  }

  /** Fills the field from a computed value. */
  const propose = (/** @type {Record<string, any>} */ given) => {
    field.value = shownNumber(given.text);
    earlier(field);
    change({ ...given, unknown: false, confirmed: given.text });
    for (const input of units.querySelectorAll("input")) input.checked = input.value === state.unit;
    suffix.textContent = unitOf(state.unit).name;
  };
  return { element, read, propose };
}
