/** Says numbers in words, in the language of the page, so that a slip by a factor of ten is heard when it is read back. */

import { decimalSign, spoken } from "./speaking.js";

const SMALL =
  "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(" ");
const TENS = "- - twenty thirty forty fifty sixty seventy eighty ninety".split(" ");

const PEQUEÑOS =
  "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis diecisiete dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis veintisiete veintiocho veintinueve".split(" ");
const DECENAS = "- - - treinta cuarenta cincuenta sesenta setenta ochenta noventa".split(" ");
const CENTENAS = "- ciento doscientos trescientos cuatrocientos quinientos seiscientos setecientos ochocientos novecientos".split(" ");

/** @param {number} n whole, 0 to 999999 @returns {string} */
function english(n) {
  if (n < 20) return SMALL[n];
  if (n < 100) return TENS[Math.floor(n / 10)] + (n % 10 ? `-${SMALL[n % 10]}` : "");
  if (n < 1000) return `${SMALL[Math.floor(n / 100)]} hundred${n % 100 ? ` and ${english(n % 100)}` : ""}`;
  return `${english(Math.floor(n / 1000))} thousand${n % 1000 ? ` ${english(n % 1000)}` : ""}`;
}

/** @param {number} n whole, 0 to 999999 @returns {string} */
function spanish(n) {
  if (n < 30) return PEQUEÑOS[n];
  if (n < 100) return DECENAS[Math.floor(n / 10)] + (n % 10 ? ` y ${PEQUEÑOS[n % 10]}` : "");
  if (n === 100) return "cien";
  if (n < 1000) return `${CENTENAS[Math.floor(n / 100)]}${n % 100 ? ` ${spanish(n % 100)}` : ""}`;
  // Before a noun the one at the end is cut short: veintiún mil, ciento un mil.
  const before = spanish(Math.floor(n / 1000)).replace(/veintiuno$/, "veintiún").replace(/uno$/, "un");
  return `${n < 2000 ? "mil" : `${before} mil`}${n % 1000 ? ` ${spanish(n % 1000)}` : ""}`;
}

const TONGUES = {
  en: { whole: english, digits: SMALL, minus: "minus", signs: { ".": "point", ",": "comma" } },
  es: { whole: spanish, digits: PEQUEÑOS, minus: "menos", signs: { ".": "punto", ",": "coma" } },
};

/** "45.2" becomes "forty-five point two". @param {string} decimal @returns {string} */
export function inWords(decimal) {
  const [, sign, integer, fraction] = /^(-?)([0-9]+)(?:\.([0-9]+))?$/.exec(decimal) ?? [];
  if (integer === undefined) throw new TypeError(`${decimal} is no decimal number`);
  const { whole, digits, minus, signs } = TONGUES[spoken()];
  const after = fraction ? ` ${signs[decimalSign()]} ${Array.from(fraction, (digit) => digits[Number(digit)]).join(" ")}` : "";
  return `${sign ? `${minus} ` : ""}${whole(Number(integer))}${after}`;
}
