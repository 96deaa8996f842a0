/** The next revision of what was signed: because things have changed, or because a mistake is corrected, with the reason. */

import { app, go, titleWords } from "./context.js";
import { h } from "./dom.js";
import { LEAST_REASON, revise } from "./draft.js";
import { here, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";

/** @param {string} [reason] of a correction */
export async function nextRevision(reason = "") {
  const still = here();
  const draft = revise(app.draft, new Date().toISOString(), reason);
  keeper.keep(draft);
  await keeper.flush();
  if (still()) location.hash = `#/d/${draft.id}/contents`;
}

/** A mistake in what was signed: the next revision says what was wrong; this one stays as it is. */
export function showCorrect() {
  const draft = app.draft;
  if (!draft.record || !draft.signatures.length) return go("sign");
  const reason = h("textarea", { id: "correction", rows: 3, maxlength: 4000 });
  const act = () => {
    const words = reason.value.trim();
    const enough = words.length >= LEAST_REASON;
    showErrors(enough ? [] : [{ id: "correction", words: "Write what was wrong: at least 15 characters." }]);
    if (enough) void nextRevision(words);
  };
  return show({
    title: "Correct a mistake",
    over: titleWords(draft.operation),
    body: [
      h("p", {}, "The next revision says what was wrong. This one stays readable, and its code answers: superseded."),
      h("label", { class: "text" }, "What was wrong", reason),
    ],
    back: `#/d/${draft.id}/sheet`,
    next: { label: "Next revision", act },
  });
}
