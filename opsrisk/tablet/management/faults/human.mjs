/** The people at the tablet: what they do there, with the tablet's own modules, and what the page promised them. */

/** Starts a tab as the page does: who is signed in, whose vault opens, one tab at a time. @param {any} tab @param {any} codes */
export async function start(tab, codes) {
  const { device } = tab;
  if (device.hasLocks && device.alive().some((other) => other !== tab && other.started)) return false;
  const [kit, vault, outbox] = await Promise.all(["kit.js", "vault.js", "outbox.js"].map((name) => tab.load(name)));
  const logbook = tab.release === "now" && (await tab.load("logbook.js").catch(() => null)); // the first release had none
  Object.assign(tab, { kit, vault, outbox, logbook, keeper: await tab.load("keeper.js"), started: true });
  tab.keeper.onSave((/** @type {any} */ kept) => (tab.kept = kept.state));
  let person = null;
  try {
    person = (await kit.session()).person.id;
  } catch {
    const { open, locked } = await vault.lastOwner();
    person = open[0] ?? locked[0] ?? null;
  }
  if (!person) return false;
  if (!(await vault.enter(person))) await vault.unlock(person, codes[person]);
  tab.person = person;
  const kept = await kit.kept(person);
  tab.roster = kept && !tab.world.happens(0.2) ? kept : await kit.refresh(person).catch(() => kept);
  outbox.watch();
  return true;
}

/** One assessment from nothing to signed; saved on the way. @param {any} tab @param {any} given */
export async function assess(tab, { template, codes, previous, also = [], pictures = async () => {} }) {
  const [drafts, records, canonical] = await Promise.all(["draft.js", "record.js", "canonical.js"].map((name) => tab.load(name)));
  const now = new tab.inside.Date().toISOString();
  const draft = previous ? drafts.revise(previous, now) : drafts.newDraft({ owner: tab.person, agency: tab.roster.agency.id, now });
  const part = (/** @type {any} */ value) => tab.inside.JSON.parse(JSON.stringify(value));
  draft.operation.title ||= "Search off the north steps";
  draft.answers = part({ "task.kind": "recovery", "readings.current": template.situation.readings.current });
  tab.keeper.keep(draft);
  await tab.keeper.flush();
  await pictures(draft);
  draft.decision = part(template.decision);
  draft.judgement = part({ decision: "hold", at: template.situation.assessed_at, note: "" });
  draft.chosen = part({ decision: template.decision.decision, reason: "", second_person: null });
  draft.record = records.buildRecord({ draft, situation: part(template.situation), device: part({ id: tab.device.name, client_version: "1", offset_s: 0 }), now });
  draft.digest = await canonical.digest(draft.record);
  for (const [who, meaning] of [[tab.person, "decided"], ...also.map((/** @type {string} */ one) => [one, "briefed"])]) {
    await sign(tab, draft, who, meaning, codes[who]);
  }
  draft.status = "signed";
  tab.keeper.keep(draft);
  await tab.keeper.flush();
  return draft;
}

/** A photo, kept on the disk when this resolves. @param {any} tab @param {{bytes: Uint8Array, draft: string | null, operation: any}} given */
export async function photograph(tab, given) {
  const [photos, cut] = [await tab.load("photos.js"), await tab.load("photo_bytes.js")];
  cut.split.bytes = 1024; // one to five parts, without pushing megabytes through a pipe
  const taken_at = new tab.inside.Date().toISOString();
  const device = tab.inside.JSON.parse(JSON.stringify({ id: tab.device.name, client_version: "2", offset_s: 0 }));
  return photos.keep({ ...given, agency: tab.roster.agency.id, caption: "The gauge", taken_at, device, preview: "" });
}

/** @param {any} tab @param {any} draft @param {string} who @param {string} meaning @param {string} code */
export async function sign(tab, draft, who, meaning, code) {
  const signing = await tab.load("signing.js");
  const person = tab.roster.roster.find((/** @type {any} */ one) => one.id === who);
  draft.signatures.push(await signing.sign({ record: draft.digest, person, role: person.role, meaning, at: draft.record.situation.assessed_at, code }));
}

/** A draft that the page called saved. @param {any} tab @param {any} draft @param {string} words */
export async function edit(tab, draft, words) {
  draft.brief = tab.inside.JSON.parse(JSON.stringify({ task: words }));
  tab.keeper.keep(draft);
  await tab.keeper.flush();
  return tab.kept === "saved";
}
