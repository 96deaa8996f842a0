/** Has the decision worked out, once for each set of answers, and keeps it with the answers it stands on. */

import { app } from "./context.js";
import { assess, CannotAssess } from "./engine.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import { isoLocal } from "./say.js";
import { situation } from "./situation.js";

/** The document was refused: which fields, in the engine's words. */
export class Refused extends Error {
  /** @param {string[][]} errors */
  constructor(errors) {
    super(errors.map(([field, given, accepted]) => `${asWritten(field)}: given ${asWritten(given)}; accepted: ${accepted}`).join("\n"));
    this.errors = errors;
  }
}

/** By draft: another one may be opened while the first is still being worked out. @type {Map<string, Promise<void>>} */
const running = new Map();

/** Makes sure that the draft holds a decision on its present answers. Throws Refused or CannotAssess. @param {any} draft */
export function decide(draft) {
  const begun = running.get(draft.id) ?? work(draft).finally(() => running.delete(draft.id));
  running.set(draft.id, begun);
  return begun;
}

/** @param {any} draft */
async function work(draft) {
  if (draft.decision) return;
  if (!app.kit.protocol) throw new CannotAssess("Your agency has adopted no protocol to decide by.");
  const now = isoLocal(new Date());
  const document = situation({ draft, screens: app.screens, kit: app.kit, now });
  const before = JSON.stringify(draft.answers);
  const answer = await assess({ situation: document, protocol: app.kit.protocol.document, now, csrf: app.session?.csrf ?? "" });
  if ("refused" in answer) throw new Refused(answer.refused);
  if (before !== JSON.stringify(draft.answers)) return work(draft);
  draft.situation = document;
  draft.decision = answer.decision;
  draft.decidedBy = answer.by;
  keeper.keep(draft);
}

/** Minutes until the decision is void; negative once it is. @param {any} decision */
export const minutesLeft = (decision) => (Date.parse(decision.valid_until) - Date.now()) / 60000;
