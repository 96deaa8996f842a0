/** A time of day by the clock, today or tomorrow: what a printed table or a dam's notice says. */

import { h } from "./dom.js";
import { earlier, keypad } from "./keypad.js";
import { isoLocal } from "./say.js";
import { chosen, group, idOf, tile } from "./tiles.js";

const DAYS = [["-1", "yesterday"], ["0", "today"], ["1", "tomorrow"]];
const CLOCK = /^([01]?[0-9]|2[0-3])[:.]?([0-5][0-9])$/;

/** "7:05", "07.05" and "0705" are the same time; anything else is none. @param {string} text @returns {[number, number] | null} */
export function readClock(text) {
  const found = CLOCK.exec(text.trim());
  return found ? [Number(found[1]), Number(found[2])] : null;
}

/** @param {string} at ISO */
const kept = (at) => ({ text: at.slice(11, 16), day: String(Math.round((Date.parse(at.slice(0, 10)) - Date.parse(isoLocal(new Date()).slice(0, 10))) / 86400000)) });

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void}} page
 */
export function clockField(question, draft, { touch }) {
  const id = idOf(question.field);
  const before = draft.answers[question.field];
  const state = draft.typing[question.field] ?? (before?.at ? kept(before.at) : { text: "", day: "0" });
  const field = h("input", { id: `${id}-field`, type: "text", inputmode: "numeric", autocomplete: "off", "aria-label": question.label, value: state.text,
    on: { input: () => touch(Object.assign(state, { text: field.value })) } });
  earlier(field);
  const days = group({ id: `${id}-days`, legend: "Day", kind: "chips",
    tiles: DAYS.map(([value, label]) => tile({ name: `${id}-d`, value, label, checked: value === state.day, kind: "chip" })),
    changed: () => touch(Object.assign(state, { day: chosen(days, `${id}-d`) })) });
  const entry = h("div", { class: "entry" }, h("p", { class: "hint" }, "Four digits on the 24-hour clock: 0705 or 07:05."), h("div", { class: "number", id }, field, h("span", { class: "unit" }, "o'clock")), days);
  const nothing = h("span", { class: "tile key small", hidden: true });
  const element = h("div", { class: "number-field" }, entry, keypad(field, nothing, { below: false }));
  const read = () => {
    const found = readClock(field.value);
    if (!found) return { errors: [{ id, words: "Give a time as four digits, 0000 to 2359." }] };
    const date = new Date();
    date.setDate(date.getDate() + Number(state.day));
    date.setHours(found[0], found[1], 0, 0);
    return { answer: { at: isoLocal(date) } };
  };
  return { element, read };
}
