/** Says times and stretches of time. */

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
