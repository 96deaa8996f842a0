/** One answer out of a few. */

import { NOT_KNOWN, chosen, group, idOf, tile } from "./tiles.js";

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, alone: boolean}} page
 * @returns {{element: HTMLElement, read: () => any}}
 */
export function choiceField(question, draft, { touch, alone }) {
  const id = idOf(question.field);
  const given = draft.typing[question.field] ?? draft.answers[question.field] ?? "";
  const tiles = [...question.choices, NOT_KNOWN].map((choice) =>
    tile({ name: id, value: choice.value, label: choice.label, words: choice.words ?? "", checked: given === choice.value }),
  );
  const element = group({
    id,
    legend: question.label,
    hidden: alone,
    hint: question.hint,
    tiles,
    changed: () => touch(chosen(element, id)),
  });
  const read = () => {
    const answer = chosen(element, id);
    return answer ? { answer } : { errors: [{ id, words: `${question.label} Choose one, or Not known.`.replace(/([a-z])( Choose)/, "$1:$2") }] };
  };
  return { element, read };
}
