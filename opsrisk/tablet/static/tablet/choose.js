/** What is done: the supervisor chooses. More caution is always free; less needs a reason and a second person. */

import { app, DECISION_WORDS, go, personOf } from "./context.js";
import { caution, choiceProblem, isAbsolute } from "./draft.js";
import { h } from "./dom.js";
import { show, showErrors } from "./frame.js";
import { decisionTiles } from "./judgement.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import { verdict } from "./shapes.js";
import { chosen, group, tile } from "./tiles.js";

export function showChoose() {
  const draft = app.draft;
  if (!draft.decision) return go("decision");
  const computed = draft.decision.decision;
  const given = draft.chosen ?? { decision: "", reason: "", second_person: null };
  const tiles = decisionTiles("chosen", given.decision, () => changed(), "Your decision");
  const reason = h("textarea", { id: "reason", rows: 3, value: given.reason, on: { input: () => changed() } });
  const second = group({
    id: "second",
    legend: "The second person who agrees, and signs",
    tiles: app.kit.roster
      .filter((/** @type {any} */ one) => one.id !== decider(draft) && one.may.includes("second"))
      .map((/** @type {any} */ one) => tile({ name: "second-person", value: one.id, label: asWritten(one.name), checked: one.id === given.second_person })),
    changed: () => changed(),
  });
  const less = h(
    "section",
    { class: "less", hidden: true },
    h("h2", {}, `Less caution than "${DECISION_WORDS[computed]}"`),
    isAbsolute(draft.decision)
      ? h("p", { class: "critical" }, "A stop that fired is absolute. It cannot be overridden here.")
      : [h("p", {}, "This is kept, printed on the sheet and shown to the chief."), h("label", { class: "text" }, "Reason, in your words", reason), second],
  );

  function state() {
    const decision = chosen(tiles, "chosen");
    const lesser = decision !== "" && caution(decision) < caution(computed);
    return {
      decision,
      reason: lesser ? reason.value.trim() : "",
      second_person: lesser ? chosen(second, "second-person") || null : null,
      lesser,
    };
  }
  function changed() {
    const { lesser, ...choice } = state();
    less.hidden = !lesser;
    draft.chosen = choice.decision ? choice : null;
    draft.record = null;
    keeper.keep(draft);
  }
  function next() {
    const { lesser, ...choice } = state();
    if (!choice.decision) return showErrors([{ id: "chosen", words: "Choose what is done." }]);
    const problem = choiceProblem(choice, draft.decision, decider(draft));
    if (problem) return showErrors([{ id: problem.includes("second") ? "second" : isAbsolute(draft.decision) ? "chosen" : "reason", words: problem }]);
    showErrors([]);
    changed();
    go("brief");
  }
  show({
    title: "What is done?",
    over: "Your decision",
    wide: true,
    body: [h("p", { class: "hint" }, "Computed:"), verdict(computed), tiles, less],
    back: `#/d/${draft.id}/plan`,
    next: { label: "Brief", act: next },
  });
  less.hidden = !state().lesser;
}

/** Who decides: the named supervisor, or whoever is signed in, if the agency lets them; "" if neither. @param {any} draft */
export function decider(draft) {
  const named = [draft.answers["positions.supervisor"]?.person, app.person.id].map(personOf);
  return named.find((one) => one?.may.includes("decide"))?.id ?? "";
}
