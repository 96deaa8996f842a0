/** Answers to tap: real radio buttons that measure like tiles, so that keyboard and screen reader work too. */

import { h } from "./dom.js";

/**
 * @param {{name: string, value: string, label: any, words?: string, checked?: boolean, kind?: string}} tile
 */
export function tile({ name, value, label, words = "", checked = false, kind = "tile" }) {
  return h(
    "label",
    { class: kind },
    h("input", { type: "radio", name, value, checked }),
    h("span", { class: "mark", "aria-hidden": "true" }),
    h("span", { class: "label" }, label),
    words && h("span", { class: "words" }, words),
  );
}

/**
 * @param {{id: string, legend: string, hidden?: boolean, hint?: string, tiles: any[], kind?: string, changed: (event: Event) => void}} group
 */
export function group({ id, legend, hidden = false, hint = "", tiles, kind = "tiles", changed }) {
  return h(
    "fieldset",
    { id, on: { change: changed } },
    h("legend", { class: hidden ? "hidden" : "" }, legend),
    hint && h("p", { class: "hint" }, hint),
    h("div", { class: kind }, tiles),
  );
}

/** The value that is chosen among the radio buttons `name` inside `element`, or "". @param {Element} element @param {string} name */
export function chosen(element, name) {
  const found = /** @type {HTMLInputElement | null} */ (element.querySelector(`input[name="${name}"]:checked`));
  return found?.value ?? "";
}

/** @param {Element} element @param {string} name @param {string} value */
export function choose(element, name, value) {
  for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (element.querySelectorAll(`input[name="${name}"]`))) {
    input.checked = input.value === value;
  }
}

/** An id that is fit for an element, from the path of a field. @param {string} field */
export const idOf = (field) => `q-${field.replaceAll(".", "-")}`;

export const NOT_KNOWN = { value: "unknown", label: "Not known" };
