/** Builds the record that is signed and sent, out of one assessment. One place, one shape. */

/**
 * @param {{draft: import("./draft.js").Draft, situation: any, plan?: any, device: {id: string, client_version: string, offset_s: number}, now: string}} given
 */
export function buildRecord({ draft, situation, plan, device, now }) {
  return {
    format: "opsrisk.record/1",
    id: draft.id,
    operation: draft.operation,
    revision: draft.revision,
    previous: draft.previous,
    ...(draft.merges?.length ? { merges: draft.merges } : {}),
    ...(draft.correction ? { correction: draft.correction } : {}),
    situation,
    own_judgement: draft.judgement,
    decision: draft.decision,
    ...(plan ? { plan } : {}),
    ...(draft.photos?.length ? { photos: draft.photos } : {}),
    controls_ticked: (draft.decision.controls ?? []).map((/** @type {any} */ control) => ({
      id: control.id,
      ticked: Boolean(draft.ticks[control.id]),
      at: draft.ticks[control.id] ?? null,
    })),
    chosen: draft.chosen,
    brief: { ...draft.brief, read_backs: draft.readBacks },
    made_at: now,
    device,
  };
}
