/** Large keys for a gloved hand, writing into a field that also takes a keyboard. */

import { button, h } from "./dom.js";
import { decimalSign } from "./speaking.js";

/**
 * Marks what stands in the field as an earlier answer: the next key begins a new number. Added to it, a 9
 * typed over 0.2 would read 0.29.
 * @param {HTMLInputElement} field
 */
export function earlier(field) {
  if (field.value) field.dataset.earlier = "yes";
}

/** @param {HTMLInputElement} field @param {string} text */
function set(field, text) {
  delete field.dataset.earlier;
  field.value = text;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** @param {HTMLInputElement} field @param {string} key */
function press(field, key) {
  const before = field.dataset.earlier ? "" : field.value;
  // A point on an empty field is meant as nought point something, and the person sees it written so.
  if (key === decimalSign()) return set(field, before === "" ? `0${key}` : `${before}${key}`);
  set(field, before + key);
}

/** @param {HTMLInputElement} field */
function sign(field) {
  set(field, field.value.startsWith("-") ? field.value.slice(1) : `-${field.value}`);
}

/**
 * @param {HTMLInputElement} field @param {HTMLElement} notKnown the tile that says nobody knows
 * @param {{below: boolean}} options  below: numbers under zero exist for this question
 */
export function keypad(field, notKnown, { below }) {
  const key = (/** @type {string} */ text, area = `k${text}`) => button(text, () => press(field, text), { class: `tile key at-${area}` });
  const act = (/** @type {string} */ label, /** @type {string} */ area, /** @type {() => void} */ does) => button(label, does, { class: `tile key small at-${area}` });
  notKnown.classList.add("at-unknown");
  return h(
    "div",
    { class: "keypad", role: "group", "aria-label": "Number keys" },
    ["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((digit) => key(digit)),
    key(decimalSign(), "point"),
    key("0"),
    act("Delete", "delete", () => set(field, field.value.slice(0, -1))),
    act("Clear", "clear", () => set(field, "")),
    below && act("Below zero", "below", () => sign(field)),
    notKnown,
  );
}
