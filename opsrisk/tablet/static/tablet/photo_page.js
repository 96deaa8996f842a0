/** The photos of an assessment in hand, and those that are added to an operation after the signature. */

import { perhaps } from "./speaking.js";
import { app, placeWords, titleWords } from "./context.js";
import { button, h } from "./dom.js";
import { here, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import * as logbook from "./logbook.js";
import * as outbox from "./outbox.js";
import { photoList, photoRow } from "./photo_rows.js";
import { takingForm } from "./photo_taking.js";
import * as photos from "./photos.js";
import { dayAndClock, isoLocal } from "./say.js";
import { device, hurry, workedBy } from "./watching.js";

/** The draft names what is there now; a record that was made ready for signing is made anew. @param {any} draft */
export async function nameThem(draft) {
  if (draft.signatures.length) return; // signed: what it names stays as it is
  const found = await photos.namedFor(draft);
  if (JSON.stringify(found) === JSON.stringify(draft.photos ?? [])) return;
  draft.photos = found;
  draft.record = null;
  draft.digest = "";
  keeper.keep(draft);
}

/** @param {any} draft @param {string} id @param {string} since */
async function takeOut(draft, id, since) {
  const still = here();
  try {
    await photos.takeOut(draft, id, since);
    draft.record = null;
    await nameThem(draft);
    keeper.keep(draft);
  } catch (error) {
    return showErrors([{ id: "photos", words: /** @type {Error} */ (error).message }]);
  }
  return still() ? showPhotos() : undefined;
}

/** What was taken out, each with the way back: this assessment's own photos, and those that the revision before keeps. @param {any} draft @param {import("./photos.js").Kept[]} kept */
function outRows(draft, kept) {
  const own = kept.filter(({ row, content }) => row.draft === draft.id && content.out_since);
  const rows = [
    ...own.map(({ row, content }) => ({ id: row.id, caption: content.caption, words: `taken out ${dayAndClock(content.out_since)}. Kept 30 days, never sent.` })),
    ...(draft.left_out ?? []).map((/** @type {any} */ one) => ({ ...one, words: "taken out of this revision. The revision before keeps it." })),
  ];
  const item = (/** @type {any} */ one) => h("li", { class: "work" }, h("p", {}, perhaps(one.caption), ", ", one.words), button("Put it back", () => takeOut(draft, one.id, ""), { class: "control plain" }));
  return rows.length > 0 && h("section", {}, h("h2", {}, "Taken out"), h("ul", { class: "works" }, rows.map(item)));
}

/** Photos of the assessment in hand. */
export async function showPhotos() {
  const at = location.hash;
  const still = here();
  const draft = app.draft;
  await nameThem(draft);
  const all = await photos.all();
  const kept = new Map(all.map((one) => [one.row.id, one]));
  const there = (await logbook.watched(draft.operation.id))?.photos ?? {}; // those of other tablets, as far as this one heard
  const acts = (/** @type {any} */ one) => [button("Take it out", () => takeOut(draft, one.id, new Date().toISOString()), { class: "control plain" })];
  show({
    at,
    title: "Photos",
    over: placeWords(draft.operation) || "No place yet",
    wide: true,
    body: [
      h("p", {}, "What is here when the record is signed is named in it, so that no photo can be added to it or changed afterwards. Photos are sent after the record."),
      takingForm({ draft: draft.id, operation: null, taken: async () => {
        void outbox.send(); // nothing of this yet: but the count of what is not sent is another one now
        if (still()) await showPhotos();
      } }),
      draft.photos.length > 0 && h("section", {}, h("h2", {}, "In this assessment"), h("ul", { class: "works photos", id: "photos" }, draft.photos.map((/** @type {any} */ one) => photoRow(one, kept.get(one.id) ?? null, { there: there[one.id], acts: acts(one) })))),
      outRows(draft, all),
    ],
    back: `#/d/${draft.id}/check`,
    next: { label: "Check answers", act: () => (location.hash = `#/d/${draft.id}/check`) },
  });
}

/** What the standing revision and the log name, each once. @param {any} watched @param {any[]} lines */
export function namedOf(watched, lines) {
  const record = workedBy(watched)?.record.photos ?? [];
  const later = lines.filter((row) => row.line.kind === "photo").map((row) => row.line.content);
  const ids = new Set(record.map((/** @type {any} */ one) => one.id));
  return [...record, ...later.filter((one) => !ids.has(one.id))];
}

/** Photos of an operation under way: a new one goes into its log. @param {string} id @param {{quiet?: boolean}} [how] */
export async function showOperationPhotos(id, { quiet = false } = {}) {
  const at = location.hash;
  const still = here();
  const watched = await logbook.watched(id);
  if (!watched) return show({ at, title: "Not followed", body: [h("p", {}, "This tablet does not follow this operation.")], back: "#/operations" });
  const named = namedOf(watched, await logbook.lines(id));
  const taken = async (/** @type {any} */ photo) => {
    await logbook.write({ operation: watched.operation, kind: "photo", content: photo, at: isoLocal(new Date()), device: device() });
    hurry();
    void outbox.send();
    if (still()) await showOperationPhotos(id);
  };
  const list = await photoList(named, watched.photos);
  const before = document.getElementById("photo-list");
  // Drawn anew while somebody chooses a caption, only the list changes.
  if (quiet && before && at === location.hash) return before.replaceChildren(list ?? "");
  return show({
    at,
    title: "Photos",
    over: titleWords(watched.operation),
    wide: true,
    body: [h("p", {}, "A photo that is added now stands in the operation's log; the signed record stays as it is."), takingForm({ draft: null, operation: watched.operation, taken }), h("div", { id: "photo-list" }, list)],
    back: `#/o/${id}`,
  });
}
