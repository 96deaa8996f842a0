/** Says numbers and times in words, so that a slip by a factor of ten is heard when it is read back. */

const SMALL =
  "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(" ");
const TENS = "- - twenty thirty forty fifty sixty seventy eighty ninety".split(" ");

/** @param {number} n whole, 0 to 999999 @returns {string} */
function whole(n) {
  if (n < 20) return SMALL[n];
  if (n < 100) return TENS[Math.floor(n / 10)] + (n % 10 ? `-${SMALL[n % 10]}` : "");
  if (n < 1000) return `${SMALL[Math.floor(n / 100)]} hundred${n % 100 ? ` and ${whole(n % 100)}` : ""}`;
  return `${whole(Math.floor(n / 1000))} thousand${n % 1000 ? ` ${whole(n % 1000)}` : ""}`;
}

/** "45.2" becomes "forty-five point two". @param {string} decimal @returns {string} */
export function inWords(decimal) {
  const [, sign, integer, fraction] = /^(-?)([0-9]+)(?:\.([0-9]+))?$/.exec(decimal) ?? [];
  if (integer === undefined) throw new TypeError(`${decimal} is no decimal number`);
  const after = fraction ? ` point ${Array.from(fraction, (digit) => SMALL[Number(digit)]).join(" ")}` : "";
  return `${sign ? "minus " : ""}${whole(Number(integer))}${after}`;
}

/** @param {number} n */
const two = (n) => String(n).padStart(2, "0");

/** Hours and minutes on the 24-hour clock, device's zone. @param {Date | string} when */
export function clock(when) {
  const date = new Date(when);
  return `${two(date.getHours())}:${two(date.getMinutes())}`;
}

/** "today 14:05" or "2026-11-25 14:05". @param {Date | string} when @param {Date} now */
export function dayAndClock(when, now = new Date()) {
  const date = new Date(when);
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${date.toDateString() === now.toDateString() ? "today" : day} ${clock(date)}`;
}

/** ISO 8601 with the device's offset, to the second. @param {Date} date */
export function isoLocal(date) {
  const offset = -date.getTimezoneOffset();
  const sign = offset < 0 ? "-" : "+";
  const zone = `${sign}${two(Math.floor(Math.abs(offset) / 60))}:${two(Math.abs(offset) % 60)}`;
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${day}T${clock(date)}:${two(date.getSeconds())}${zone}`;
}

/** "1 h 05 min" from minutes, for a countdown. @param {number} minutes */
export function span(minutes) {
  const left = Math.max(0, Math.floor(minutes));
  return left < 60 ? `${left} min` : `${Math.floor(left / 60)} h ${two(left % 60)} min`;
}
