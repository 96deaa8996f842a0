/** Two revisions that were signed apart: side by side, and one revision made of both. */

import { app, titleWords } from "./context.js";
import { answersOf } from "./answers_of.js";
import { newDraft } from "./draft.js";
import { h } from "./dom.js";
import { onDevice } from "./engine.js";
import { here, link, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import * as logbook from "./logbook.js";
import { perhaps } from "./speaking.js";
import { group, tile, chosen } from "./tiles.js";

/** A value as people say it. @param {any} given @returns {string} */
function inWords(given) {
  if (given === null || given === undefined) return "not given";
  if (typeof given !== "object") return given === "unknown" ? "Not known" : perhaps(String(given).replaceAll("_", " "));
  if ("value" in given) return [`${given.value} ${given.unit ?? ""}`.trim(), given.how, given.low && `between ${given.low} and ${given.high}`].filter(Boolean).join(", ");
  return Object.entries(given).filter(([name]) => name !== "id" && name !== "person").map(([name, value]) => `${name.replaceAll("_", " ")}: ${inWords(value)}`).join("; ");
}

/** The two that stand, this tablet's person's first, and what both revise. @param {any} watched */
function sides(watched) {
  const standing = watched.current.map((/** @type {string} */ one) => watched.revisions[one]).filter(Boolean);
  const mine = standing.find((/** @type {any} */ one) => one.signatures.some((/** @type {any} */ each) => each.person === app.person.id && each.meaning === "decided")) ?? standing[0];
  const theirs = standing.find((/** @type {any} */ one) => one !== mine);
  const base = mine && theirs && mine.record.previous === theirs.record.previous ? watched.revisions[mine.record.previous] : null;
  return { mine, theirs, base };
}

/** One field in conflict: this one, the other, or the worse until somebody knows. @param {any} conflict @param {any} pair @param {(side: string) => void} choose */
function choice(conflict, { mine, theirs }, choose) {
  const name = `meet-${conflict.field.replaceAll(".", "-")}`;
  const box = group({
    id: name,
    legend: conflict.label,
    hint: `Before: ${inWords(conflict.base)}`,
    tiles: [
      tile({ name, value: "mine", label: inWords(conflict.mine), words: asWritten(mine.made_by) }),
      tile({ name, value: "theirs", label: inWords(conflict.theirs), words: asWritten(theirs.made_by) }),
      tile({ name, value: "", label: `Nobody knows yet: ${inWords(conflict.stands)}`, words: conflict.because, checked: true }),
    ],
    changed: () => choose(chosen(box, name)),
  });
  return box;
}

/** @param {any} watched @param {any} pair @param {any} situation */
async function make(watched, { mine, theirs }, situation) {
  const still = here();
  const now = new Date().toISOString();
  const draft = newDraft({ owner: app.person.id, agency: app.agency.id, now });
  const { operation } = mine.record;
  Object.assign(draft, { operation: structuredClone(operation), revision: mine.record.revision + 1, previous: mine.digest, merges: [theirs.digest] });
  const photos = [...(mine.record.photos ?? []), ...(theirs.record.photos ?? [])];
  draft.photos = structuredClone(photos.filter((one, place) => photos.findIndex((other) => other.id === one.id) === place));
  draft.answers = answersOf({ situation, operation, screens: app.screens, kit: app.kit, now });
  keeper.keep(draft);
  await keeper.flush();
  if (still()) location.hash = `#/d/${draft.id}/check`;
}

/** @param {string} id of the operation */
export async function showMeeting(id) {
  const at = location.hash;
  const watched = await logbook.watched(id);
  const pair = watched ? sides(watched) : { mine: null, theirs: null, base: null };
  if (!pair.mine || !pair.theirs) return show({ at, title: "Nothing to put together", body: [h("p", {}, "One revision of this operation stands."), link(`#/o/${id}`, "Conditions", "big")], back: `#/o/${id}` });
  /** @type {Record<string, string>} */
  const choices = {};
  const ask = () => onDevice("merge", { base: pair.base?.record.situation ?? null, mine: pair.mine.record.situation, theirs: pair.theirs.record.situation, chosen: choices });
  const found = await ask();
  const choose = (/** @type {string} */ field) => (/** @type {string} */ side) => {
    if (side) choices[field] = side;
    else delete choices[field];
  };
  return show({
    at,
    wide: true,
    title: "Put two revisions together",
    over: titleWords(watched.operation),
    body: [
      h("p", {}, `${asWritten(pair.mine.made_by)} and ${asWritten(pair.theirs.made_by)} signed apart. What only one of them changed is taken over. Where both changed the same, choose; until somebody does, the worse stands.`),
      found.conflicts.map((/** @type {any} */ one) => choice(one, pair, choose(one.field))),
      !found.conflicts.length && h("p", {}, "Nothing was changed by both."),
      found.taken.length > 0 && h("section", { class: "part" }, h("h2", {}, `Taken over from ${asWritten(pair.theirs.made_by)}`), h("ul", {}, found.taken.map((/** @type {any} */ one) => h("li", {}, `${one.label}: ${inWords(one.now)}`)))),
    ],
    back: `#/o/${id}`,
    next: { label: "Make the revision", act: () => void ask().then(({ situation }) => make(watched, pair, situation)).catch((/** @type {Error} */ error) => showErrors([{ id: "next", words: error.message }])) },
  });
}
