/**
 * The supervisor's own judgement, asked before the computed one is shown: whoever judges first catches
 * more wrong advice. Only a stop is shown at once, since nobody should have to guess at one.
 */

import { app, DECISION_WORDS, go } from "./context.js";
import { decide, Refused } from "./deciding.js";
import { DECISIONS, stopsOf } from "./draft.js";
import { h } from "./dom.js";
import { show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import { firedList } from "./reasons.js";
import { isoLocal } from "./say.js";
import { shape } from "./shapes.js";
import { chosen, group, tile } from "./tiles.js";

/** The five decisions to tap. @param {string} name @param {string} selected @param {() => void} changed @param {string} legend */
export function decisionTiles(name, selected, changed, legend) {
  return group({
    id: name,
    legend,
    hidden: true,
    kind: "tiles decisions",
    tiles: DECISIONS.map((decision) =>
      tile({ name, value: decision, label: [shape(decision), h("span", {}, DECISION_WORDS[decision])], checked: selected === decision }),
    ),
    changed,
  });
}

/** Says that there is no answer, and why. @param {Error} error */
export function cannot(error) {
  const refused = error instanceof Refused;
  return h(
    "section",
    { class: "cannot", role: "alert" },
    h("h2", {}, refused ? "These answers do not fit together" : "Cannot assess"),
    h("p", { class: "critical" }, refused ? "Change them, then come back here." : "There is no computed decision. Nobody may take this for permission."),
    h("ul", {}, error.message.split("\n").map((line) => h("li", {}, line))),
  );
}

/** Stops that the answers bring, as soon as they are known. @param {any} draft */
function stopsBox(draft) {
  const box = h("div", { id: "stops", role: "status" }, h("p", { class: "hint" }, "Working out whether anything stops the dive."));
  decide(draft).then(
    () => {
      const stops = stopsOf(draft.decision);
      box.replaceChildren(
        stops.length
          ? h("section", { class: "stops" }, h("h2", {}, "This stops the dive"), firedList(stops))
          : h("p", { class: "hint" }, "No stop among the answers. The rest is shown after you have judged."),
      );
    },
    (error) => box.replaceChildren(cannot(error)),
  );
  return box;
}

export function showJudgement() {
  const draft = app.draft;
  const given = draft.judgement ?? {};
  const note = h("textarea", { id: "judgement-note", rows: 2, value: given.note ?? "", on: { change: () => save() } });
  const tiles = decisionTiles("own", given.decision ?? "", () => save(), "Your own judgement");

  function save() {
    const decision = chosen(tiles, "own");
    if (!decision) return;
    // The first judgement is the one that counts; its time is not moved by a later correction of the note.
    const at = draft.judgement?.decision === decision ? draft.judgement.at : isoLocal(new Date());
    draft.judgement = { decision, at, note: note.value.trim() };
    keeper.keep(draft);
  }
  const next = () => {
    if (!chosen(tiles, "own")) return showErrors([{ id: "own", words: "Choose what you would do. The computed decision is shown after that." }]);
    save();
    go("decision");
  };
  const locked = Boolean(draft.seen);
  show({
    title: "What would you do?",
    over: "Your own judgement, before the computed one",
    wide: true,
    body: [
      stopsBox(draft),
      locked
        ? h("p", { class: "notice" }, `You judged "${DECISION_WORDS[given.decision]}" before you saw the computed decision. That stays in the record.`)
        : [tiles, h("label", { class: "text" }, "Why, if you want to say", note)],
    ],
    back: `#/d/${draft.id}/check`,
    next: { label: "Show the decision", act: locked ? () => go("decision") : next },
  });
}
