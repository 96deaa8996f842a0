/** What follows from an answer outside of the answers: where the operation is, and the title that nobody types. */

import { NO_PLACE, siteOf } from "./context.js";

/**
 * Brings the operation in line with an answer that has been given, changed or brought back. A title is made from task and place when
 * somebody is about to sign; until anything of the operation has been signed, other answers make another one.
 * @param {import("./draft.js").Draft} draft @param {any} question
 */
export function derive(draft, question) {
  const answer = draft.answers[question.field];
  if (question.kind === "place") {
    draft.operation.site = answer.site;
    draft.operation.place = [siteOf(answer.site)?.name, answer.place.trim()].filter(Boolean).join(", ") || NO_PLACE;
  }
  const names = question.kind === "place" || question.field === "task.kind";
  if (names && !draft.record && draft.revision === 1 && !draft.signatures.length) draft.operation.title = "";
}
