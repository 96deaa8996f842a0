/** All answers before the judgement: each can be changed, and changing one leads straight back here. */

import { perhaps } from "./speaking.js";
import { inWords } from "./answers.js";
import { app, placeWords } from "./context.js";
import * as drafts from "./draft.js";
import { h } from "./dom.js";
import { link, show } from "./frame.js";
import { undoLine } from "./undo.js";

/** @param {any} screen */
function rows(screen) {
  return drafts.askedOf(screen, app.draft).map((/** @type {any} */ question) => {
    const given = app.draft.answers[question.field];
    return h(
      "div",
      { class: given === undefined || given === "unknown" ? "answer unknown" : "answer" },
      h("dt", {}, question.label),
      h("dd", {}, inWords(question, given)),
      h("dd", { class: "change", "data-field": question.field }, link(`#/d/${app.draft.id}/${screen.id}/check`, ["Change", h("span", { class: "hidden" }, ` ${question.label}`)])),
      undoLine("dd", question, () => showCheck({ quiet: true })),
    );
  });
}

/** @param {any[]} photos */
const photoWords = (photos) => (photos.length ? h("ul", {}, photos.map((one) => h("li", {}, perhaps(one.caption)))) : h("p", {}, "None."));

/** @param {{quiet?: boolean}} [how] */
export function showCheck({ quiet = false } = {}) {
  const asked = drafts.screensOf(app.screens, app.draft);
  const sections = [...new Set(asked.map((screen) => screen.section))];
  const open = asked.filter((screen) => !drafts.isDone(screen, app.draft));
  show({
    title: "Check your answers",
    over: `${placeWords(app.draft.operation) || "No place yet"} · revision ${app.draft.revision}`,
    wide: true,
    quiet,
    body: [
      open.length > 0 &&
        h("p", { class: "notice" }, `${open.length} ${open.length === 1 ? "question has" : "questions have"} no answer. Each counts as not known, and not known counts as the worst.`),
      ...sections.map((section) =>
        h("section", {}, h("h2", {}, section), h("dl", { class: "answers" }, asked.filter((screen) => screen.section === section).map(rows))),
      ),
      h("section", {}, h("h2", {}, "Photos"), photoWords(app.draft.photos ?? []), link(`#/d/${app.draft.id}/photos`, "Photos", "big")),
    ],
    back: `#/d/${app.draft.id}/contents`,
    next: { label: "Go to your judgement", act: () => (location.hash = `#/d/${app.draft.id}/judgement`) },
  });
}
