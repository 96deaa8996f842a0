/** A changed answer says what it was, and one tap brings that back: on the next page, and among all answers until they are signed. */

import { inWords } from "./answers.js";
import { app } from "./context.js";
import { derive } from "./derived.js";
import { button, h } from "./dom.js";
import { undo, wasBefore } from "./draft.js";
import { tell } from "./frame.js";
import * as keeper from "./keeper.js";

/** Where the answer stands that was brought back: a line in words, and the focus. @param {string} tag @param {any} question */
function toldBack(tag, question) {
  const words = `As it was before: ${question.label}`;
  const change = document.querySelector(`[data-field="${question.field}"]`);
  const heading = document.querySelector("#page .heading");
  const line = h(tag, { class: "was", id: "brought-back" }, h("span", {}, words));
  if (change) change.after(line);
  else heading?.after(line);
  /** @type {HTMLElement | null} */ (change?.querySelector("a") ?? heading?.querySelector("h1"))?.focus();
  tell(words);
}

/** @param {string} tag @param {any} question @param {(question: any) => void} then draws the page again, quietly */
export function undoLine(tag, question, then) {
  const was = wasBefore(app.draft, question.field);
  if (was === undefined) return null;
  const act = () => {
    undo(app.draft, question.field);
    derive(app.draft, question);
    keeper.keep(app.draft);
    then(question);
    toldBack(tag, question);
  };
  return h(tag, { class: "was" }, h("span", {}, `${question.label}: changed. It was: ${inWords(question, was)}`), button(["Undo", h("span", { class: "hidden" }, ` ${question.label}`)], act, { class: "control plain undo" }));
}

/** What the last Next changed. @param {string[]} fields @param {(question: any) => void} then */
export function justChanged(fields, then) {
  const questions = app.screens.flatMap((screen) => screen.questions);
  return fields.map((field) => undoLine("div", questions.find((one) => one.field === field), then));
}
