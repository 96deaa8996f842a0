/**
 * The page's side of the engine: starts the worker, asks it, and falls back on the server when this
 * device cannot run Python. Says who answered; never turns a failure into an answer.
 */

export class CannotAssess extends Error {}

/** A browser under load answers in seconds; half a minute means that it never will. */
const PATIENCE_MS = 30000;

/** @type {Worker | null} */
let worker = null;
/** @type {Map<number, {resolve: (value: any) => void, reject: (error: Error) => void}>} */
const waiting = new Map();
let asked = 0;
/** @type {Promise<void> | null} */
let started = null;

/** @param {string} reason */
function broken(reason) {
  for (const { reject } of waiting.values()) reject(new CannotAssess(reason));
  waiting.clear();
}

/** @param {string} kind @param {any} content @param {Transferable[]} [transfer] */
function ask(kind, content, transfer = []) {
  const id = ++asked;
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => {
      waiting.delete(id);
      reject(new CannotAssess("the device did not answer in time"));
    }, PATIENCE_MS);
    const settle = (/** @type {(value: any) => void} */ done) => (/** @type {any} */ value) => {
      clearTimeout(late);
      done(value);
    };
    waiting.set(id, { resolve: settle(resolve), reject: settle(reject) });
    /** @type {Worker} */ (worker).postMessage({ id, kind, ...content }, transfer);
  });
}

/** @param {MessageEvent} event */
function hear({ data }) {
  const question = waiting.get(data.id);
  waiting.delete(data.id);
  if (data.failed) question?.reject(new CannotAssess(data.failed));
  else question?.resolve(data.answer);
}

async function begin() {
  const response = await fetch("/tablet/bundle.zip");
  if (!response.ok) throw new CannotAssess("the rules have not been loaded on this device yet");
  const bundle = await response.arrayBuffer();
  worker = new Worker("/tablet/worker.js", { type: "module" });
  worker.addEventListener("message", hear);
  worker.addEventListener("error", () => broken("the engine on this device stopped"));
  await ask("start", { bundle }, [bundle]);
}

/** Starts the engine, once. Rejects with CannotAssess if this device cannot run it. */
export function start() {
  started ??= begin().catch((error) => {
    started = null;
    worker?.terminate();
    worker = null;
    throw error instanceof CannotAssess ? error : new CannotAssess(error.message);
  });
  return started;
}

/** Asks the engine on this device. @param {string} kind @param {any} given */
export async function onDevice(kind, given) {
  await start();
  return ask(kind, { given });
}

/** @param {any} situation @param {string} csrf */
async function onServer(situation, csrf) {
  const response = await fetch("/api/v1/assess/", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": csrf },
    body: JSON.stringify(situation),
  });
  if (!response.ok) throw new CannotAssess(`the server answered ${response.status}`);
  return response.json();
}

/**
 * @param {{situation: any, protocol: string, now: string, csrf: string}} given
 * @returns {Promise<{decision: any, by: "device" | "server"} | {refused: string[][]}>}
 */
export async function assess({ situation, protocol, now, csrf }) {
  let reason;
  try {
    const answer = await onDevice("assess", { situation: JSON.stringify(situation), protocol, now });
    return answer.refused ? answer : { decision: whole(answer.decision), by: "device" };
  } catch (error) {
    reason = /** @type {Error} */ (error).message;
  }
  try {
    return { decision: whole(await onServer(situation, csrf)), by: "server" };
  } catch (error) {
    throw new CannotAssess(`Cannot assess. On this device: ${reason}. By the server: ${/** @type {Error} */ (error).message}.`);
  }
}

const DECISIONS = ["divers", "divers_with_controls", "vehicle_first", "vehicle_only", "hold"];

/** Refuses anything that is not a complete answer. @param {any} decision */
function whole(decision) {
  if (decision?.format !== "opsrisk.decision/1" || !DECISIONS.includes(decision.decision)) {
    throw new CannotAssess("the answer is not a decision");
  }
  return decision;
}
