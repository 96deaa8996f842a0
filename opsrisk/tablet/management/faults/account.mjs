/** The account after a schedule: what was promised, what the server has, what is left on the tablets. */

/** @param {any} schedule @returns {Promise<{lost: string[], doubled: string[], foreign: string[], faults: string[], done: any}>} */
export async function account(schedule) {
  const { server, drafts, promises, saved, seen = [], world } = schedule;
  const ids = [...drafts.keys()];
  const { records, lines } = await server.ask({ kind: "stored", ids, lines: schedule.lines.map((one) => one.id) });
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
  for (const [id, { words, last, found }] of saved) {
    const turn = Number(found?.split(" ")[1] ?? -1);
    if (turn < words || turn > last) lost.push(`draft ${id}: saved turn ${words}, found ${found}`);
  }
  return { lost, doubled, foreign, faults, done: { ...world.done, records: promises.length, edits: saved.size, lines: schedule.lines.length } };
}
