/** The recall: over everything, with a tone, until somebody at this tablet has said that it was heard. */

import { DECISION_WORDS, titleWords } from "./context.js";
import { deliberate } from "./deliberate.js";
import { button, h } from "./dom.js";
import { asWritten } from "./language.js";
import { clock } from "./say.js";
import { verdict } from "./shapes.js";
import { acknowledge } from "./watching.js";

/** @param {any} watched @param {any} recall a row of the log */
export function showRecall(watched, recall) {
  const { content, at } = recall.line;
  const there = document.getElementById("recall");
  if (there?.dataset.recall === recall.line.id) return;
  there?.remove();
  const close = async () => {
    try {
      await acknowledge(watched, recall);
      if (document.getElementById("recall")?.dataset.recall === recall.line.id) document.getElementById("recall")?.remove();
    } catch (error) {
      box.append(h("p", { class: "error", role: "alert" }, /** @type {Error} */ (error).message));
    }
  };
  const second = deliberate(); // a sleeve on the glass silences nothing
  const first = button("I hear it", () => second.ask({ id: "recall-heard", label: `Heard: the divers are called to ${DECISION_WORDS[content.to].toLowerCase()}`, act: close }), { class: "control big", id: "recall-hear" });
  // A modal dialog takes everything behind it out of reach; the escape key does not silence it.
  const stay = () => box.isConnected && box.showModal();
  const box = h("dialog", { id: "recall", role: "alertdialog", "aria-labelledby": "recall-title", "data-recall": recall.line.id, on: { close: stay } },
    h("h2", { id: "recall-title" }, "Recall"),
    h("p", { class: "over" }, `${titleWords(watched.operation)}, ${clock(at)}${recall.name ? `, from ${asWritten(recall.name)}` : ""}`),
    verdict(content.to),
    h("p", { class: "critical" }, `Until now: ${DECISION_WORDS[content.from]}`),
    h("p", { class: "critical" }, content.because),
    second.element, first);
  document.body.append(box);
  box.showModal();
  first.focus();
}
