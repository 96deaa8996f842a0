/** The computed decision: never alone, always with its reasons, its sum, its certainty and its end. */

import { app, DECISION_WORDS, go, placeWords } from "./context.js";
import { decide, minutesLeft } from "./deciding.js";
import { voidDecision } from "./draft.js";
import { button, h } from "./dom.js";
import { link, show } from "./frame.js";
import { cannot } from "./judgement.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import { decisionMap } from "./map.js";
import { workOut } from "./plan_work.js";
import * as parts from "./reasons.js";
import { clock, dayAndClock, isoLocal, span } from "./say.js";
import { verdict } from "./shapes.js";

/** How long the decision holds, counted down; says so when it has run out. @param {any} decision @param {() => void} again */
export function validity(decision, again) {
  const words = h("p", { class: "critical", id: "validity" });
  const act = button("Work it out again", again, { class: "control plain" });
  const box = h("div", { class: "part validity", role: "timer" }, h("h2", {}, "Until when"), words, h("p", {}, `Reason: ${decision.valid_because}`), act);
  const tell = () => {
    const left = minutesLeft(decision);
    box.classList.toggle("over", left <= 0);
    words.textContent =
      left > 0
        ? `Holds until ${dayAndClock(decision.valid_until)}: ${span(left)} left`
        : `No longer holds since ${clock(decision.valid_until)}. Measure again.`;
  };
  tell();
  const ticking = setInterval(() => (box.isConnected ? tell() : clearInterval(ticking)), 1000);
  return box;
}

/** @param {any} draft */
function controls(draft) {
  const box = (/** @type {any} */ control) => {
    const input = h("input", {
      type: "checkbox",
      checked: Boolean(draft.ticks[control.id]),
      on: {
        change: () => {
          if (input.checked) draft.ticks[control.id] = isoLocal(new Date());
          else delete draft.ticks[control.id];
          keeper.keep(draft);
        },
      },
    });
    return h("label", { class: "tile tick" }, input, h("span", { class: "mark", "aria-hidden": "true" }), h("span", { class: "label" }, control.text), h("span", { class: "words" }, parts.positionName(control.owner)));
  };
  if (!draft.decision.controls.length) return null;
  return h("section", { class: "part" }, h("h2", {}, "Controls: tick each when it is in place"), h("div", { class: "ticks" }, draft.decision.controls.map(box)));
}

/** @param {any} draft */
function comparison(draft) {
  const same = draft.judgement.decision === draft.decision.decision;
  return h("p", { class: same ? "compared" : "compared differs" },
    `You judged at ${clock(draft.judgement.at)}: ${DECISION_WORDS[draft.judgement.decision]}. ${same ? "The computed decision is the same." : "The computed decision differs."}`);
}

/** What the vehicle spares the divers, once the plan knows the search; else where to say so. @param {any} draft */
function sparesDivers(draft) {
  if (!["vehicle_first", "vehicle_only"].includes(draft.decision.decision)) return null;
  const box = h("div", { id: "saved" });
  workOut(draft).then(({ answer }) => {
    const lacking = answer.plan?.missing.some((/** @type {any} */ one) => one.computation === "search_effort");
    if (answer.saved) box.append(h("p", { class: "compared" }, answer.saved));
    else if (lacking) box.append(link(`#/d/${draft.id}/plan/search_effort`, "How many diver-minutes does it save? Describe the search"));
  }, () => undefined); // no plan on this device, which the plan's own page says
  return box;
}

function again() {
  voidDecision(app.draft);
  keeper.keep(app.draft);
  void showDecision();
}

export async function showDecision() {
  const at = location.hash;
  const draft = app.draft;
  if (!draft.judgement) return go("judgement");
  const back = `#/d/${draft.id}/judgement`;
  try {
    await decide(draft);
  } catch (error) {
    return show({ at, title: "No decision", wide: true, body: [cannot(/** @type {Error} */ (error))], back: `#/d/${draft.id}/check` });
  }
  if (at !== location.hash) return undefined;
  draft.seen ??= isoLocal(new Date());
  keeper.keep(draft);
  const { decision } = draft;
  return show({
    at,
    title: "The computed decision",
    over: `${placeWords(draft.operation)} · protocol ${asWritten(`${decision.protocol.id} ${decision.protocol.version}`)}`,
    wide: true,
    body: [
      verdict(decision.decision),
      draft.decidedBy === "server" && h("p", { class: "notice" }, "Worked out by the server: this device could not run the rules itself."),
      comparison(draft),
      sparesDivers(draft),
      h("div", { class: "parts" },
        parts.why(decision), validity(decision, again), parts.certainty(decision), controls(draft), parts.points(decision),
        h("section", { class: "part" }, h("h2", {}, "Map of the decision"), decisionMap(decision.map) ?? h("p", {}, "No map for these readings.")),
        parts.margins(decision), parts.unknowns(decision), parts.cautions(decision)),
    ],
    back,
    next: { label: "Plan", act: () => go("plan") },
  });
}
