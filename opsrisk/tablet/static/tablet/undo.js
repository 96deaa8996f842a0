/** A changed answer says what it was, and one tap brings that back: on the next page, and among all answers until they are signed. */

import { inWords } from "./answers.js";
import { app } from "./context.js";
import { button, h } from "./dom.js";
import { undo, wasBefore } from "./draft.js";
import * as keeper from "./keeper.js";

/** @param {string} tag @param {any} question @param {() => void} then draws the page again */
export function undoLine(tag, question, then) {
  const was = wasBefore(app.draft, question.field);
  if (was === undefined) return null;
  const act = () => {
    undo(app.draft, question.field);
    keeper.keep(app.draft);
    then();
  };
  return h(tag, { class: "was" }, h("span", {}, `${question.label}: changed. It was: ${inWords(question, was)}`), button(["Undo", h("span", { class: "hidden" }, ` ${question.label}`)], act, { class: "control plain undo" }));
}

/** What the last Next changed. @param {string[]} fields @param {() => void} then */
export function justChanged(fields, then) {
  const questions = app.screens.flatMap((screen) => screen.questions);
  return fields.map((field) => undoLine("div", questions.find((one) => one.field === field), then));
}
