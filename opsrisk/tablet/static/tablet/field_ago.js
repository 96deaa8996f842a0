/** A moment, asked as time gone by: a witness knows "twenty minutes", not a clock time. */

import { numberField } from "./field_number.js";
import { isoLocal } from "./say.js";

const UNITS = [
  { unit: "min", name: "minutes ago", places: 0, possible: ["0", "600000"], usual: ["0", "240"], minutes: 1 },
  { unit: "h", name: "hours ago", places: 0, possible: ["0", "10000"], usual: ["0", "72"], minutes: 60 },
  { unit: "d", name: "days ago", places: 0, possible: ["0", "3650"], usual: ["0", "60"], minutes: 1440 },
];

/** @param {any} question @param {any} draft @param {any} page */
export function agoField(question, draft, page) {
  const field = numberField({ ...question, units: UNITS }, draft, page);
  const before = draft.answers[question.field];
  const read = () => {
    const result = field.read();
    if (!("answer" in result) || result.answer === "unknown") return result;
    const { value, unit } = result.answer;
    // Looked at again and left alone: the moment stays, although more time has gone by.
    if (before?.value === value && before?.unit === unit) return { answer: before };
    const minutes = Number(value) * (UNITS.find((one) => one.unit === unit)?.minutes ?? 1);
    return { answer: { ...result.answer, at: isoLocal(new Date(Date.now() - minutes * 60000)) } };
  };
  return { ...field, read };
}
