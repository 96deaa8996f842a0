/** Where: a place that the agency knows, or somewhere else in a few words if there is time for them. */

import { h } from "./dom.js";
import { asWritten } from "./language.js";
import { chosen, group, idOf, tile } from "./tiles.js";

const ELSEWHERE = "elsewhere";

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, sites: any[], picked: (site: any) => void}} page
 */
export function placeField(question, draft, { touch, sites, picked }) {
  const id = idOf(question.field);
  const given = draft.typing[question.field] ?? draft.answers[question.field] ?? {};
  const site = given.site ?? (given.site === null ? ELSEWHERE : "");
  const words = h("textarea", { id: `${id}-words`, rows: 2, value: given.place ?? "", on: { input: () => took() } });
  const state = () => {
    const name = chosen(element, id);
    return { site: name === ELSEWHERE || name === "" ? null : name, place: words.value, name };
  };
  const took = () => {
    const { name, ...raw } = state();
    touch(raw);
    return raw.site;
  };
  // The words have events of their own inside the group: only another place brings its water with it.
  const changed = (/** @type {Event} */ event) => {
    const now = took();
    if (event.target !== words) picked(sites.find((one) => one.id === now));
  };
  const element = group({
    id,
    legend: "Known places",
    hidden: true,
    hint: question.hint,
    tiles: [
      ...sites.map((one) => tile({ name: id, value: one.id, label: asWritten(one.name), checked: one.id === site })),
      tile({ name: id, value: ELSEWHERE, label: "Somewhere else", checked: site === ELSEWHERE }),
    ],
    changed,
  });
  element.append(h("label", { class: "text" }, "The exact spot, if you want to add it", words));
  const read = () => {
    const { name, ...answer } = state();
    return name ? { answer } : { errors: [{ id, words: "Choose the place, or Somewhere else." }] };
  };
  return { element, read };
}
