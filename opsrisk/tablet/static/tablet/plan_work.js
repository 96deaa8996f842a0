/**
 * The plan on this device: its inputs out of the draft and the kit, worked out in the worker. Answers of the
 * plan are kept with the draft like every answer; what they give is worked out again whenever it is shown.
 */

import { app, siteOf } from "./context.js";
import { onDevice } from "./engine.js";
import * as keeper from "./keeper.js";

const FORMAT = "opsrisk.plan_inputs/1";

/** @type {Record<string, any> | null} */
let asks = null;
/** @type {{key: string, inputs: any, answer: any} | null} */
let last = null;

/** What each subject of a plan asks, from the registry of computations. */
export async function planAsks() {
  asks ??= await onDevice("plan_asks", {});
  return /** @type {Record<string, any>} */ (asks);
}

/** The question `name` of a subject. @param {Record<string, any>} all @param {string} subject @param {string} name */
export const askOf = (all, subject, name) => all[subject]?.asks.find((/** @type {any} */ one) => one.name === name);

/** True if a person can answer it here; a station or an adoption comes from elsewhere. @param {any} ask */
export const canAsk = (ask) => Boolean(ask) && ask.kind !== "other";

/** Whether a row holds every column that its list needs. @param {any} ask @param {any} row */
const isWhole = (ask, row) => ask.columns.every((/** @type {any} */ column) => !column.needed || row[column.name] !== undefined);

/** An answer as the computation takes it; undefined where it is not whole yet. @param {any} ask @param {any} answer @returns {any} */
function valueOf(ask, answer) {
  if (answer === "unknown") return "unknown";
  if (ask.kind === "rows") {
    if (answer.length < ask.least || !answer.every((/** @type {any} */ row) => isWhole(ask, row))) return undefined;
    return answer.map((/** @type {any} */ row) =>
      Object.fromEntries(ask.columns.filter((/** @type {any} */ one) => row[one.name] !== undefined).map((/** @type {any} */ one) => [one.name, valueOf(one, row[one.name])])));
  }
  if (ask.kind === "time") return answer.at;
  if (ask.kind !== "quantity") return answer;
  if (ask.units[0].unit === "") return answer.value;
  const bounds = answer.low === undefined ? {} : { low: answer.low, high: answer.high };
  return { value: answer.value, unit: answer.unit, ...bounds };
}

/** What the agency keeps: the place's station, the vehicle's sonar. @param {any} draft */
function fromKit(draft) {
  const station = app.kit.stations[siteOf(draft.operation.site)?.station];
  const vehicle = app.kit.vehicles.find((/** @type {any} */ one) => one.id === draft.answers.vehicle?.vehicle);
  return {
    ...(station ? { station_windows: { station: station } } : {}),
    ...(vehicle?.imaging_sonar && vehicle.sonar_modes?.length ? { sonar_look: { modes: vehicle.sonar_modes } } : {}),
  };
}

/** The plan's own inputs as a document. @param {any} draft @param {Record<string, any>} all */
export function planInputs(draft, all) {
  /** @type {any} */
  const document = { format: FORMAT, units: app.agency.units, ...fromKit(draft) };
  for (const subject of draft.plan.named) document[subject] ??= {};
  for (const [field, answer] of Object.entries(draft.plan.answers)) {
    const [subject, name] = field.split(".");
    const ask = askOf(all, subject, name);
    const value = ask && valueOf(ask, answer);
    if (value !== undefined) (document[subject] ??= {})[name] = value;
  }
  return document;
}

/**
 * The plan of a draft with a decision: {inputs, answer}, where answer is {plan, lines, pictures} or {refused}.
 * Rejects with CannotAssess where this device cannot run Python.
 * @param {any} draft
 */
export async function workOut(draft) {
  const inputs = planInputs(draft, await planAsks());
  const given = { situation: JSON.stringify(draft.situation), inputs: JSON.stringify(inputs), protocol: app.kit.protocol.document };
  const key = JSON.stringify(given);
  if (last?.key !== key) last = { key, inputs, answer: await onDevice("plan", given) };
  return last;
}

/** What is signed: inputs and answer, or null where there is no plan. @param {any} draft */
export async function planToSign(draft) {
  try {
    const { inputs, answer } = await workOut(draft);
    return answer.plan ? { inputs, answer: answer.plan } : null;
  } catch {
    return null; // no plan on this device: the record says so by having none
  }
}

/** The plan to show: of the record once it is signed, of the answers before. @param {any} draft */
export async function planOf(draft) {
  if (draft.status === "open") return (await workOut(draft)).answer;
  const plan = draft.record?.plan?.answer;
  return plan ? { plan, ...(await onDevice("plan_shown", { plan })) } : { none: true };
}

/** Keeps a change of the plan's inputs; a record that was shown for signing is made anew. @param {any} draft */
export function keepPlan(draft) {
  draft.record = null;
  draft.digest = "";
  keeper.keep(draft);
}
