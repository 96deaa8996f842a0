/** The account after a schedule: what was promised, what the server has, what is left on the tablets. */

/** @param {any} schedule @returns {Promise<{lost: string[], doubled: string[], foreign: string[], faults: string[], done: any}>} */
export async function account(schedule) {
  const { server, drafts, promises, saved, seen = [], world } = schedule;
  const ids = [...drafts.keys()];
  const asked = { ids, lines: schedule.lines.map((one) => one.id), photos: schedule.photos.map((one) => one.id) };
  const { records, lines, photos } = await server.ask({ kind: "stored", ...asked });
  const lost = [], doubled = [], foreign = [];
  const faults = [...schedule.faults];
  const here = (id) => seen.some((one) => one.id === id);
  for (const row of promises) {
    const stored = records.filter((one) => one.id === row.id);
    const reason = seen.find((one) => one.entry && one.id === row.id)?.reason;
    if (!stored.length) lost.push(`record ${row.id}: finished, not at the server${reason ? `, parked: ${reason}` : ""}`);
    if (stored.length && stored[0].digest !== row.digest) lost.push(`record ${row.id}: other content at the server`);
    // One more may have got through in a box whose tab died before it could say so.
    if (stored.length && stored[0].signatures !== row.signers && stored[0].signatures !== row.signing) lost.push(`record ${row.id}: ${row.signers} signed, ${stored[0].signatures} at the server`);
  }
  for (const id of ids) {
    const stored = records.filter((one) => one.id === id);
    if (stored.length > 1 || (stored.length && stored[0].copies > 1)) doubled.push(`record ${id}`);
    if (stored.length && stored[0].received_by !== drafts.get(id).owner) foreign.push(`record ${id}: sent as ${stored[0].received_by}`);
    const entry = seen.find((one) => one.entry && one.id === id);
    if (!stored.length && drafts.get(id).kept && !here(id)) lost.push(`record ${id}: signed, neither here nor at the server`);
    if (!entry && seen.some((one) => one.id === id && one.status === "finished")) lost.push(`record ${id}: called finished, but not in the box`);
    if (entry?.state === "Received" && !stored.length) lost.push(`record ${id}: called received, not at the server`);
    if (entry && entry.owner !== drafts.get(id).owner) foreign.push(`record ${id}: shown to ${entry.owner}`);
  }
  for (const line of schedule.lines) {
    const stored = lines.filter((one) => one.id === line.id);
    if (!stored.length) lost.push(`line ${line.id}: kept, not at the server`);
    if (stored.length > 1 || stored[0]?.entries > 1) doubled.push(`line ${line.id}`);
    if (stored.length && stored[0].received_by !== line.owner) foreign.push(`line ${line.id}: sent as ${stored[0].received_by}`);
    const own = (schedule.logs ?? []).find((one) => one.owner === line.owner && one.device === line.device);
    if (own && own.ids.filter((one) => one === line.id).length !== 1) lost.push(`line ${line.id}: not in its writer's own log`);
  }
  photoAccount(schedule, photos, { lost, doubled, foreign });
  for (const [id, { words, last, found }] of saved) {
    const turn = Number(found?.split(" ")[1] ?? -1);
    if (turn < words || turn > last) lost.push(`draft ${id}: saved turn ${words}, found ${found}`);
  }
  return { lost, doubled, foreign, faults, done: { ...world.done, records: promises.length, edits: saved.size, lines: schedule.lines.length, photos: schedule.photos.length } };
}

/**
 * A photo whose record was finished is at the server, whole and once, or parked on its tablet where no server takes it; any
 * other one is on its tablet with all its parts. The bytes are gone from the tablet only when the server has them.
 * @param {any} schedule @param {any[]} stored @param {{lost: string[], doubled: string[], foreign: string[]}} wrongs
 */
function photoAccount({ photos, promises, seenPhotos = [] }, stored, { lost, doubled, foreign }) {
  const finished = new Set(promises.map((/** @type {any} */ one) => one.id));
  for (const photo of photos) {
    const there = stored.find((one) => one.id === photo.id);
    const here = seenPhotos.find((/** @type {any} */ one) => one.id === photo.id);
    const due = photo.draft === null || finished.has(photo.draft);
    const received = there?.state === "received";
    const whole = here && here.held === here.parts;
    if (received && there.sha256 !== photo.sha256) lost.push(`photo ${photo.id}: other content at the server`);
    if (received && photo.poison) lost.push(`photo ${photo.id}: no photo, yet received`);
    if (received && there.parts) lost.push(`photo ${photo.id}: received, parts left at the server`);
    if (!received && !whole) lost.push(`photo ${photo.id}: not at the server, ${here?.held ?? "none"} of its parts on the tablet`);
    if (due && !received && !photo.poison) lost.push(`photo ${photo.id}: not at the server${here?.reason ? `, parked: ${here.reason}` : ""}`);
    if (due && photo.poison && !here?.reason) lost.push(`photo ${photo.id}: refused, but nobody is told`);
    if (here?.state === "Received" && (!received || here.held)) lost.push(`photo ${photo.id}: called received, ${there?.state ?? "absent"} at the server, ${here.held} parts held`);
    if (there?.entries > 1) doubled.push(`photo ${photo.id}: received ${there.entries} times`);
    if (there && there.received_by !== photo.owner) foreign.push(`photo ${photo.id}: sent as ${there.received_by}`);
    if (here && here.owner !== photo.owner) foreign.push(`photo ${photo.id}: shown to ${here.owner}`);
  }
}
