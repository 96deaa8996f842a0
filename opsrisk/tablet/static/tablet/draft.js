/**
 * The work in hand: one assessment, from the first answer to the signed record. Plain data and the few
 * rules about it; saving, showing and sending are elsewhere.
 */

export const UNKNOWN = "unknown";

/**
 * @typedef {{id: string, owner: string, agency: string, status: "open" | "signed" | "finished",
 *   operation: {id: string, title: string, site: string | null, place: string}, revision: number, previous: string | null, merges?: string[], correction?: {reason: string},
 *   answers: Record<string, any>, typing: Record<string, any>, changed?: Record<string, any[]>, justChanged?: string[], judgement: any, decision: any, decidedBy: string,
 *   plan: {answers: Record<string, any>, typing: Record<string, any>, named: string[]},
 *   ticks: Record<string, any>, chosen: any, brief: Record<string, string>, readBacks: any[], photos: {id: string, sha256: string, caption: string, taken_at: string}[], left_out?: {id: string, sha256: string, caption: string, taken_at: string}[],
 *   record: any, digest: string, signatures: any[], opened_at: string, updated_at: string, at: string}} Draft
 */

/** What the plan was told besides the answers, and which subjects were asked for. @returns {Draft["plan"]} */
export const newPlan = () => ({ answers: {}, typing: {}, named: [] });

/** @param {{owner: string, agency: string, now: string}} given @returns {Draft} */
export function newDraft({ owner, agency, now }) {
  return {
    id: crypto.randomUUID(),
    owner,
    agency,
    status: "open",
    operation: { id: crypto.randomUUID(), title: "", site: null, place: "" },
    revision: 1,
    previous: null,
    answers: {},
    typing: {},
    judgement: null,
    decision: null,
    decidedBy: "",
    plan: newPlan(),
    ticks: {},
    chosen: null,
    brief: {},
    readBacks: [],
    photos: [],
    record: null,
    digest: "",
    signatures: [],
    opened_at: now,
    updated_at: now,
    at: "",
  };
}

/**
 * The next revision of a signed assessment. The answers are carried over with the times at which they
 * were taken, so an old reading stays old; judgement, decision, brief and signatures start afresh.
 * With a reason it corrects a mistake; without one, things have changed since.
 * @param {Draft} signed @param {string} now @param {string} [reason] @returns {Draft}
 */
export function revise(signed, now, reason = "") {
  return {
    ...newDraft({ owner: signed.owner, agency: signed.agency, now }),
    operation: structuredClone(signed.operation),
    revision: signed.revision + 1,
    previous: signed.digest,
    answers: structuredClone(signed.answers),
    photos: structuredClone(signed.photos ?? []),
    plan: { ...newPlan(), ...structuredClone(signed.plan ?? {}), typing: {} },
    ...(reason ? { correction: { reason } } : {}),
  };
}

/** The word that decides whether a later question is asked. @param {any} answer */
export function plain(answer) {
  if (answer === undefined || answer === null) return "";
  if (typeof answer === "string") return answer;
  return "vehicle" in answer ? (answer.vehicle ?? "") : "";
}

/** @param {any} question @param {Draft} draft */
export function isAsked(question, draft) {
  if (!question.when) return true;
  const given = plain(draft.answers[question.when.field]);
  return question.when.is.includes(given) || (question.when.is.includes("*") && given !== "" && given !== UNKNOWN);
}

/** The questions of a screen that apply. @param {any} screen @param {Draft} draft */
export const askedOf = (screen, draft) => screen.questions.filter((/** @type {any} */ question) => isAsked(question, draft));

/** The screens that apply, in order. @param {any[]} screens @param {Draft} draft */
export const screensOf = (screens, draft) => screens.filter((screen) => askedOf(screen, draft).length > 0);

/** @param {any} screen @param {Draft} draft */
export const isDone = (screen, draft) => askedOf(screen, draft).every((/** @type {any} */ question) => question.field in draft.answers);

/**
 * Takes an answer. A changed fact makes the computed decision, and everything briefed on it, void:
 * the own judgement stays, because it was given before the computed one was seen.
 * @param {Draft} draft @param {string} field @param {any} answer @returns {boolean} whether an earlier answer was changed
 */
export function setAnswer(draft, field, answer) {
  const before = JSON.stringify(draft.answers[field]);
  draft.answers[field] = answer;
  delete draft.typing[field];
  if (before === JSON.stringify(answer)) return false;
  if (before !== undefined) draft.changed = { ...draft.changed, [field]: [...(draft.changed?.[field] ?? []), JSON.parse(before)] };
  voidDecision(draft);
  return before !== undefined;
}

/** What an answer was before it was changed, or undefined. @param {Draft} draft @param {string} field */
export const wasBefore = (draft, field) => draft.changed?.[field]?.at(-1);

/** Brings back what an answer was before it was changed. @param {Draft} draft @param {string} field */
export function undo(draft, field) {
  const earlier = draft.changed?.[field] ?? [];
  if (!earlier.length) return;
  draft.answers[field] = earlier.at(-1);
  draft.changed = { ...draft.changed, [field]: earlier.slice(0, -1) };
  draft.justChanged = draft.justChanged?.filter((one) => one !== field);
  delete draft.typing[field];
  voidDecision(draft);
}

/** @param {Draft} draft */
export function voidDecision(draft) {
  draft.decision = null;
  draft.decidedBy = "";
  draft.ticks = {};
  draft.chosen = null;
  draft.readBacks = [];
  draft.record = null;
  draft.digest = "";
}

export const LEAST_REASON = 15; // characters, for less caution and for a correction alike

const CAUTION = ["divers", "divers_with_controls", "vehicle_first", "vehicle_only", "hold"];

/** How cautious a decision is: 0 is least. @param {string} decision */
export const caution = (decision) => CAUTION.indexOf(decision);

export const DECISIONS = CAUTION;

/** Whether a decision lets a person into the water, at once or after the vehicle. @param {string} decision */
export const enters = (decision) => !["vehicle_only", "hold"].includes(decision);

/** Stops for everybody or for divers that are shown before the own judgement. @param {any} decision */
export const stopsOf = (decision) => decision?.stops ?? [];

/** True if no choice may be less cautious than the tool's. @param {any} decision */
export const isAbsolute = (decision) => stopsOf(decision).some((/** @type {any} */ stop) => stop.absolute);

/**
 * What is missing before the choice stands, or "".
 * @param {{decision: string, reason: string, second_person: string | null}} chosen @param {any} decision @param {string} decider
 */
export function choiceProblem(chosen, decision, decider) {
  if (caution(chosen.decision) >= caution(decision.decision)) return "";
  if (isAbsolute(decision)) return "This stop is absolute. It cannot be overridden here.";
  if (chosen.reason.trim().length < LEAST_REASON) return "Write the reason for less caution: at least 15 characters.";
  if (!chosen.second_person) return "Name the second person who agrees to less caution.";
  if (chosen.second_person === decider) return "The second person has to be somebody else.";
  return "";
}

/** Whose signatures a record needs before it can be sent. @param {Draft} draft */
export function missingSignatures(draft) {
  const signed = (/** @type {string} */ meaning, /** @type {string | null} */ person) =>
    draft.signatures.some((one) => one.meaning === meaning && (!person || one.person === person));
  const missing = [];
  if (!signed("decided", null)) missing.push("decided");
  const second = draft.chosen?.second_person;
  if (second && !signed("overrode", second)) missing.push("overrode");
  return missing;
}
