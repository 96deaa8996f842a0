/** Says parts of a plan: times by the clock of the assessment, values with their units, drawings. */

import { h } from "./dom.js";
import { asWritten } from "./language.js";
import { perhaps } from "./speaking.js";

const MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");
const MOMENT = /\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?(Z|[+-]\d\d:\d\d)/g;

/** ISO times in a text as hour and minute; with the day where it is another one. @param {any} text @param {string} assessedAt */
export function timed(text, assessedAt) {
  return String(text).replace(MOMENT, (iso) => {
    const hour = iso.slice(11, 16);
    return iso.slice(0, 10) === assessedAt.slice(0, 10) ? hour : `${Number(iso.slice(8, 10))} ${MONTHS[Number(iso.slice(5, 7)) - 1]} ${hour}`;
  });
}

/** The value of an answer in words. @param {any} answer @param {string} assessedAt */
export function valueWords(answer, assessedAt) {
  if (answer.any_of) return answer.any_of.map(perhaps).join(" or ");
  if (answer.low !== undefined && answer.low === answer.high) return `${answer.low} ${answer.unit ?? ""}`.trim();
  if (answer.low !== undefined) return `${answer.low} to ${answer.high} ${answer.unit ?? ""}`.trim();
  if (answer.value === null || answer.value === undefined) return "none";
  return `${perhaps(timed(answer.value, assessedAt))} ${answer.unit ?? ""}`.trim();
}

/** A refusal in words, its field by its question. @param {any} reason @param {any} ask of the field, if any */
export function refusalWords(reason, ask) {
  return `${ask?.label ?? asWritten(reason.field)}: given ${perhaps(String(reason.given))}. Accepted: ${reason.accepted}.`;
}

/** Our own drawing, read as XML: no text in it can become anything but text. @param {string} svg */
export const picture = (svg) => document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);

/** A drawing on a page. @param {string} svg */
export function drawing(svg) {
  const drawn = picture(svg);
  for (const label of drawn.querySelectorAll("text")) label.textContent = perhaps(label.textContent ?? ""); // some are what somebody called a thing
  return h("figure", { class: "drawing" }, drawn);
}
