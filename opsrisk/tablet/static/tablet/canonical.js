/**
 * Canonical JSON (RFC 8785) and its SHA-256, for records that hold no fractions.
 *
 * Every quantity in a record is a decimal string, so the one hard part of the standard, how to write a
 * binary fraction, cannot occur: a number that is not a safe whole number is refused.
 */

/** @param {any} value @param {string} where */
function refuse(value, where) {
  throw new TypeError(`${where || "the record"} holds ${String(value)}: a record takes text, whole numbers, true, false, null`);
}

/** @param {string} text @param {string} where */
function string(text, where) {
  // A lone half of a surrogate pair has no UTF-8 form, so two programs would hash it differently.
  if (!text.isWellFormed()) refuse("half a character", where);
  return JSON.stringify(text);
}

/**
 * The canonical text of `value`. Members are ordered by UTF-16 code units, as the standard says.
 * @param {any} value @param {string} [where]
 * @returns {string}
 */
export function canonical(value, where = "") {
  if (value === null || value === true || value === false) return String(value);
  if (typeof value === "string") return string(value, where);
  if (typeof value === "number") return Number.isSafeInteger(value) ? String(value + 0) : refuse(value, where);
  if (Array.isArray(value)) return `[${value.map((item, index) => canonical(item, `${where}[${index}]`)).join(",")}]`;
  if (Object.getPrototypeOf(value ?? 0) !== Object.prototype) return refuse(value, where);
  const members = Object.keys(value).sort();
  return `{${members.map((name) => `${string(name, where)}:${canonical(value[name], `${where}.${name}`)}`).join(",")}}`;
}

/** @param {any} value @returns {Uint8Array} */
export function canonicalBytes(value) {
  return new TextEncoder().encode(canonical(value));
}

/** @param {ArrayBuffer | Uint8Array} bytes @returns {string} */
export function hex(bytes) {
  return Array.from(new Uint8Array(bytes), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** SHA-256 of the canonical bytes, in hexadecimal. @param {any} value @returns {Promise<string>} */
export async function digest(value) {
  return hex(await crypto.subtle.digest("SHA-256", canonicalBytes(value)));
}
