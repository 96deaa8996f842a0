/** The answers that a situation document came from, so that a record of another tablet can be gone on with here. */

import { NO_PLACE } from "./context.js";
import { UNKNOWN } from "./draft.js";
import { vehicleOf } from "./situation.js";

/** @param {any} document @param {string} path */
const at = (document, path) => path.split(".").reduce((found, name) => (found && typeof found === "object" ? found[name] : undefined), document);

/** The vehicle of the kit that a document describes; one that is not on the list is not known here. @param {any} given @param {any} kit */
function vehicle(given, kit) {
  if (given === null) return { vehicle: null };
  if (typeof given !== "object") return UNKNOWN;
  const same = (/** @type {any} */ one) => ["thrust", "tether_length", "depth_rating"].every((name) => at(vehicleOf(one), `${name}.value`) === at(given, `${name}.value`));
  const found = kit.vehicles.find(same);
  return found ? { vehicle: found.id } : UNKNOWN;
}

/** @param {any[]} people */
const conditions = (people) => Object.fromEntries(people.map(({ id, fit, hours_awake, dives_24h }) => [id, { fit, hours_awake, dives_24h }]));

/** @param {string} moment @param {string} now */
const ago = (moment, now) => ({ value: String(Math.max(0, Math.round((Date.parse(now) - Date.parse(moment)) / 60000))), unit: "min", at: moment });

/** The place besides the known one's name, which is put before it again. @param {any} operation @param {any} kit */
function spot({ site, place }, kit) {
  const name = kit.sites?.find((/** @type {any} */ one) => one.id === site)?.name;
  if (name && (place === name || place.startsWith(`${name}, `))) return place.slice(name.length + 2);
  return place === NO_PLACE ? "" : place;
}

/**
 * @param {{situation: any, operation: any, screens: any[], kit: any, now: string}} given
 * @returns {Record<string, any>}
 */
export function answersOf({ situation, operation, screens, kit, now }) {
  /** @type {Record<string, any>} */
  const answers = {};
  for (const question of screens.flatMap((screen) => screen.questions)) {
    const given = at(situation, question.field);
    if (question.kind === "place") answers[question.field] = { site: operation.site, place: spot(operation, kit) };
    else if (given === undefined) continue;
    else if (question.kind === "vehicle") answers[question.field] = vehicle(given, kit);
    else if (given === UNKNOWN) answers[question.field] = UNKNOWN;
    else if (question.kind === "condition") answers[question.field] = conditions(given);
    else if (question.kind === "ago") answers[question.field] = given === null ? UNKNOWN : ago(given, now);
    else if (given !== null) answers[question.field] = structuredClone(given);
  }
  return answers;
}
