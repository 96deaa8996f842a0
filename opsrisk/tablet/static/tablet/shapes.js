/** A shape for each decision, so that no meaning hangs on colour: the same on screen, map and paper. */

import { DECISION_WORDS } from "./context.js";
import { h, s } from "./dom.js";

/** Drawn in a box of 48 by 48, in the colour of the text around it. */
const DRAW = {
  divers: () => [s("circle", { cx: 24, cy: 24, r: 17, fill: "none", "stroke-width": 6 })],
  divers_with_controls: () => [
    s("circle", { cx: 24, cy: 24, r: 17, fill: "none", "stroke-width": 6 }),
    s("path", { d: "M2 24H46", "stroke-width": 6 }),
  ],
  vehicle_first: () => [s("rect", { x: 8, y: 8, width: 32, height: 32, fill: "none", "stroke-width": 6 })],
  vehicle_only: () => [s("path", { d: "M24 4 44 24 24 44 4 24Z", fill: "none", "stroke-width": 6 })],
  hold: () => [s("rect", { x: 2, y: 15, width: 44, height: 18, fill: "currentColor", "stroke-width": 0 })],
};

/** @param {string} decision @returns {SVGElement} */
export function shape(decision) {
  return s("svg", { viewBox: "0 0 48 48", class: "shape", stroke: "currentColor", "aria-hidden": "true" }, DRAW[decision]?.() ?? []);
}

/** Word, shape and ground together. @param {string} decision @param {string} [tag] */
export function verdict(decision, tag = "p") {
  return h(tag, { class: `verdict is-${decision}` }, shape(decision), h("span", {}, DECISION_WORDS[decision] ?? decision));
}
