/**
 * Says the page's English in another language: the twin of `opsrisk/assessment/language.py`, which tells how a catalogue reads.
 * Records, decisions and digests stay as they are; a test holds both readers to the same answers.
 */

const OPENS = "\u2068";
const CLOSES = "\u2069";
const HOLES = {
  n: "(-?[0-9]+(?:\\.[0-9]+)?)",
  k: "((?=[^ ]*[0-9])[0-9A-Za-z+-](?:[0-9A-Za-z:.+_/-]*[0-9A-Za-z])?)",
  t: "(.+?)",
  w: "(.+?)",
  v: `(${OPENS}[^${OPENS}${CLOSES}]*${CLOSES})`,
};
const HOLE = /\{([nktvw][0-9]?)\}/g;
const LETTER = /[A-Za-z\u00c0-\u024f]/;
const MARKED = new RegExp(`${OPENS}[^${OPENS}${CLOSES}]*${CLOSES}`, "g");
const DECIMAL = /(?<![\p{L}\p{N}_.])([0-9]+)\.([0-9]+)(?![\p{L}\p{N}_]|\.[0-9])/gu;
const THOUSANDS = /(?<=[0-9]),(?=[0-9]{3}(?![0-9]))/g;
const JOINTS = [". ", "; ", " \u00b7 ", ": ", ", ", " + ", " / ", " | "];
const ENDS = [".", ":", ",", "?", ")"];
const LONGEST = 1500;

/** Marks words of a person, a name or a code: shown as they are in every language. @param {any} text */
export const asWritten = (text) => (text ? `${OPENS}${String(text).replaceAll(OPENS, "").replaceAll(CLOSES, "")}${CLOSES}` : "");

const escaped = (/** @type {string} */ text) => text.replace(/[.*+?^${}()|[\]\\/-]/g, "\\$&");
const hasLetters = (/** @type {string} */ text) => LETTER.test(text.replace(MARKED, ""));

/** @param {string} key @param {string} says */
function pattern(key, says) {
  const names = [...key.matchAll(HOLE)].map((match) => match[1]);
  const parts = key.split(/\{[nktvw][0-9]?\}/);
  const lazy = parts.map((part, i) => escaped(part) + (names[i] ? HOLES[names[i][0]] : "")).join("");
  const fixed = parts.reduce((sum, part) => sum + part.length, 0);
  const whole = (/** @type {string} */ source) => new RegExp(`^${source}$`, "s");
  return { fixed, lazy: whole(lazy), greedy: whole(lazy.replaceAll("(.+?)", "(.+)")), names, says };
}

export class Language {
  /** @param {Record<string, string> | null} texts null: English @param {{tag?: string, decimal?: string, missed?: (text: string) => void}} [how] */
  constructor(texts, { tag = "en", decimal = ".", missed } = {}) {
    this.texts = texts;
    this.tag = tag;
    this.decimal = decimal;
    this.missed = missed;
    /** @type {Map<string, string | null>} */
    this.known = new Map();
    this.patterns = Object.entries(texts ?? {}).filter(([key]) => key.search(HOLE) >= 0).map(([key, says]) => pattern(key, says));
    this.patterns.sort((a, b) => b.fixed - a.fixed);
  }

  /** `text` as it is shown. @param {string} text @returns {string} */
  say(text) {
    const found = this.find(text);
    if (found === null) this.missed?.(text);
    return this.finished(found ?? text);
  }

  /** `text` in this language, marks still in it; null where the catalogue does not hold it. @param {string} text @returns {string | null} */
  find(text) {
    if (this.texts === null || !hasLetters(text)) return text;
    const [, before, words, after] = /** @type {RegExpExecArray} */ (/^(\s*)(.*?)(\s*)$/s.exec(text));
    const found = this.look(words);
    return found === null ? null : `${before}${found}${after}`;
  }

  /** `text` without marks and with this agency's decimal sign outside them. @param {string} text */
  finished(text) {
    let last = 0;
    let said = "";
    for (const match of text.matchAll(MARKED)) {
      said += this.number(text.slice(last, match.index)) + match[0].slice(1, -1);
      last = match.index + match[0].length;
    }
    return said + this.number(text.slice(last));
  }

  /** `text` with this agency's decimal sign in every number. @param {string} text */
  number(text) {
    return this.decimal === "." ? text : text.replace(THOUSANDS, "\u00a0").replace(DECIMAL, `$1${this.decimal}$2`);
  }

  /** @param {string} text @returns {string | null} */
  look(text) {
    if (!hasLetters(text)) return text;
    if (!this.known.has(text)) {
      this.known.set(text, null); // what leads back to itself is not found
      this.known.set(text, this.made(text));
    }
    return this.known.get(text) ?? null;
  }

  /** @param {string} text */
  made(text) {
    const found = this.exact(text) ?? this.filled(text);
    if (found !== null) return found;
    if (text.length > LONGEST) return null;
    const end = text.slice(-1);
    if (ENDS.includes(end)) {
      const rest = this.look(text.slice(0, -1));
      if (rest !== null) return rest + end;
    }
    return this.joined(text);
  }

  /** @param {string} text */
  exact(text) {
    const texts = this.texts ?? {};
    if (Object.hasOwn(texts, text)) return texts[text];
    const first = text[0];
    const upper = first !== first.toLowerCase();
    const other = (upper ? first.toLowerCase() : first.toUpperCase()) + text.slice(1);
    if (!Object.hasOwn(texts, other) || other.search(HOLE) >= 0) return null;
    const found = texts[other];
    return (upper ? found[0].toUpperCase() : found[0].toLowerCase()) + found.slice(1);
  }

  /** @param {string} text @returns {string | null} */
  filled(text) {
    for (const one of this.patterns) {
      const match = one.lazy.exec(text);
      if (!match) continue;
      const said = this.holes(one, match) ?? this.holes(one, one.greedy.exec(text));
      if (said !== null) return said;
    }
    return null;
  }

  /** @param {any} one @param {RegExpExecArray | null} match @returns {string | null} */
  holes(one, match) {
    /** @type {Record<string, string>} */
    const said = {};
    for (const [i, name] of one.names.entries()) {
      const given = match?.[i + 1] ?? "";
      const found = name[0] === "t" ? this.look(given) : "kw".includes(name[0]) ? asWritten(given) : given;
      if (match === null || found === null) return null;
      said[name] = found;
    }
    return one.says.replace(HOLE, (/** @type {string} */ _, /** @type {string} */ name) => said[name]);
  }

  /** Both sides of a joint, where both are known. @param {string} text @returns {string | null} */
  joined(text) {
    const marked = [...text.matchAll(MARKED)].map((match) => [match.index, match.index + match[0].length]);
    for (const joint of JOINTS) {
      for (let place = text.indexOf(joint); place > 0; place = text.indexOf(joint, place + 1)) {
        if (marked.some(([start, end]) => start <= place && place < end)) continue;
        const left = this.look(text.slice(0, place));
        const right = left === null ? null : this.look(text.slice(place + joint.length));
        if (left !== null && right !== null) return `${left}${joint}${right}`;
      }
    }
    return null;
  }
}
