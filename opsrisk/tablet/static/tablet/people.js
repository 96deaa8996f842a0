/** People of the roster, and those who help today without being on it. */

import { asWritten } from "./language.js";

const GUEST = "guest-";

/** Positions of a crew that a tired or unfit person makes dangerous: each of them is asked how they are. */
export const DIVING_POSITIONS = ["supervisor", "diver", "standby_diver", "diver_tender", "standby_tender"];

/** The id of somebody who is not on the roster: one for each position that such a person fills. @param {string} position */
export const guestId = (position) => `${GUEST}${position}`;

/** @param {string | null | undefined} id */
export const isGuest = (id) => Boolean(id?.startsWith(GUEST));

/**
 * The person with this id. A guest is known by the position only, and counts as qualified for it as far
 * as the supervisor says so.
 * @param {any} kit @param {string | null | undefined} id
 */
export function personIn(kit, id) {
  const known = kit?.roster.find((/** @type {any} */ one) => one.id === id);
  if (known || !id || !isGuest(id)) return known ?? null;
  const position = id.slice(GUEST.length);
  const words = position.replaceAll("_", " ");
  return { id, name: `Somebody else, ${words}`, role: "", may: [], qualifications: [{ kind: position, label: words, current: true }] };
}

/** A person's name as a page draws it; what stands for a guest is in our own words. @param {any} person */
export const nameOf = (person) => (isGuest(person.id) ? person.name : asWritten(person.name));

/** Ids of everybody in one of `positions`, each once. @param {any} draft @param {(position: string) => boolean} [among] */
export function placed(draft, among = () => true) {
  const ids = Object.entries(draft.answers)
    .filter(([field, answer]) => field.startsWith("positions.") && answer?.person && among(field.split(".")[1]))
    .map(([, answer]) => answer.person);
  return [...new Set(ids)];
}
