/**
 * Reads a number that a person typed. What cannot be read in exactly one way is refused and never
 * repaired: a silent repair is how a reading becomes ten times too large.
 */

import { asWritten } from "./language.js";

/** Names that people write for a unit, besides its own. */
const ALSO = {
  kn: ["knots", "knot", "kt", "kts"],
  "m/s": ["mps"],
  "ft/s": ["fps"],
  "km/h": ["kmh", "kph"],
  m: ["metres", "metre", "meters", "meter"],
  ft: ["feet", "foot"],
  fsw: [],
  C: ["°c", "c"],
  F: ["°f", "f"],
  min: ["minutes", "minute", "mins"],
  h: ["hours", "hour", "hrs"],
  d: ["days", "day"],
  cm: ["centimetres", "centimeters"],
  in: ["inches", "inch"],
};

const SPACES = /^[\s\u00a0\u2009\u202f]+|[\s\u00a0\u2009\u202f]+$/g;
const NUMBER = /^-?(0|[1-9][0-9]{0,5})([.,][0-9]{1,2})?$/;

/** @typedef {{unit: string, name: string, possible: string[], usual: string[]}} UnitChoice */
/** @typedef {{value: string, unusual: boolean} | {error: string}} Parsed */

/** @param {string} text @param {UnitChoice} unit @param {UnitChoice[]} units @returns {{text: string, error?: string}} */
function withoutUnit(text, unit, units) {
  const match = /^(.*?[0-9.,])[\s\u00a0\u2009\u202f]*([°a-z/]+)$/iu.exec(text);
  if (!match) return { text };
  const typed = match[2].toLowerCase();
  const names = (/** @type {UnitChoice} */ one) => [one.unit.toLowerCase(), ...(ALSO[one.unit] ?? [])];
  if (names(unit).includes(typed)) return { text: match[1] };
  const other = units.find((one) => names(one).includes(typed));
  if (other) return { text, error: `The unit is set to ${unit.name}, but ${other.name} was typed. Tap ${other.unit}, or type the number alone.` };
  return { text };
}

/** @param {string} text what is left after the unit */
function why(text) {
  if (/^[.,]/.test(text)) return `Put a digit before the point: ${asWritten(`0${text}`)}.`;
  if (/[.,]$/.test(text)) return "Put a digit after the point, or leave the point out.";
  if (/^-?0[0-9]/.test(text)) return "Start with one zero only before a point.";
  if (/^-?[0-9]+[.,][0-9]{3,}$/.test(text)) return "Give at most two digits after the point: more can be read two ways.";
  if (/^-?[0-9]{7,}/.test(text)) return "That is too many digits.";
  return "Type one number, with one point or comma at most.";
}

/**
 * @param {string} typed @param {UnitChoice} unit @param {UnitChoice[]} [units] all units on offer
 * @returns {Parsed}
 */
export function parseNumber(typed, unit, units = [unit]) {
  const trimmed = typed.replace(SPACES, "");
  if (trimmed === "") return { error: "Give a number, or tap Not known." };
  const { text, error } = withoutUnit(trimmed, unit, units);
  if (error) return { error };
  if (!NUMBER.test(text)) return { error: `"${asWritten(trimmed)}" is not one clear number. ${why(text)}` };
  const value = text.replace(",", ".").replace(/^-(0(\.0+)?)$/, "$1");
  const number = Number(value);
  const [lowest, highest] = unit.possible.map(Number);
  if (number < lowest || number > highest) {
    return { error: `${value} ${unit.name} cannot be. Give a number from ${unit.possible[0]} to ${unit.possible[1]} ${unit.name}.` };
  }
  const [usualLow, usualHigh] = unit.usual.map(Number);
  return { value, unusual: number < usualLow || number > usualHigh };
}
