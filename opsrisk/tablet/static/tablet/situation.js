/** Makes the situation document out of the answers: each question says which field it fills. */

import { UNKNOWN, isAsked } from "./draft.js";
import { personIn, placed } from "./people.js";

/** @param {any} document @param {string} path @param {any} value */
function put(document, path, value) {
  const names = path.split(".");
  const last = /** @type {string} */ (names.pop());
  let place = document;
  for (const name of names) place = place[name] ??= {};
  place[last] = value;
}

const quantity = (/** @type {any} */ answer) => (answer === UNKNOWN ? UNKNOWN : { value: answer.value, unit: answer.unit });

/** @param {any} answer */
function reading(answer) {
  if (answer === UNKNOWN) return UNKNOWN;
  const bounds = answer.low === undefined || answer.low === "" ? {} : { low: answer.low, high: answer.high };
  const by = answer.by ? { by: answer.by } : {};
  return { value: answer.value, unit: answer.unit, ...bounds, how: answer.how, at: answer.at, ...by };
}

/** @param {any} answer */
function position(answer) {
  const { person, ...states } = answer;
  return person ? { ...states, person } : states;
}

const metres = (/** @type {string} */ value) => ({ value, unit: "m" });

/** What the kit list says of a vehicle. @param {any} vehicle */
export function vehicleOf(vehicle) {
  const limit = vehicle.current_limit_mps === null ? {} : { current_limit: { value: vehicle.current_limit_mps, unit: "m/s" } };
  return {
    depth_rating: metres(vehicle.depth_rating_m),
    tether_length: metres(vehicle.tether_length_m),
    tether_diameter: { value: vehicle.tether_diameter_mm, unit: "mm" },
    thrust: { value: vehicle.thrust_n, unit: "N" },
    drag_area: { value: vehicle.drag_area_m2, unit: "m2" },
    imaging_sonar: vehicle.imaging_sonar ? "yes" : "no",
    ...limit,
  };
}

/** @param {any} document @param {any} site of the kit */
function putSite(document, site) {
  if (site?.lat !== null && site?.lat !== undefined) {
    put(document, "site.latitude", site.lat);
    put(document, "site.longitude", site.lon);
  }
  if (site?.altitude_m) put(document, "site.altitude", metres(site.altitude_m));
}

/** @param {any} draft @param {any} kit */
function people(draft, kit) {
  const condition = draft.answers.people ?? {};
  const crew = placed(draft).map((id) => personIn(kit, id)).filter(Boolean);
  return crew.map((person) => ({
    id: person.id,
    name: person.name,
    qualifications: person.qualifications.filter((/** @type {any} */ one) => one.current).map((/** @type {any} */ one) => one.kind),
    fit: condition[person.id]?.fit ?? UNKNOWN,
    hours_awake: condition[person.id]?.hours_awake ?? UNKNOWN,
    dives_24h: condition[person.id]?.dives_24h ?? UNKNOWN,
  }));
}

/** @param {any} document @param {any} question @param {any} answer @param {any} kit */
function putAnswer(document, question, answer, kit) {
  if (question.kind === "place") {
    putSite(document, kit.sites.find((/** @type {any} */ one) => one.id === answer.site));
  } else if (question.kind === "vehicle") {
    const vehicle = kit.vehicles.find((/** @type {any} */ one) => one.id === answer.vehicle);
    put(document, "vehicle", answer === UNKNOWN ? UNKNOWN : vehicle ? vehicleOf(vehicle) : null);
  } else if (question.kind === "ago") {
    put(document, question.field, answer === UNKNOWN ? UNKNOWN : answer.at);
  } else if (question.kind !== "condition") {
    const shape = { reading, quantity, position }[question.kind] ?? ((/** @type {any} */ same) => same);
    put(document, question.field, shape(answer));
    if (answer.window) {
      put(document, "site.window_ends", answer.window.ends);
      put(document, "site.window_source", answer.window.source);
    }
  }
}

/**
 * @param {{draft: any, screens: any[], kit: any, now: string}} given
 * @returns {any} the situation document; a question without an answer is left out and counts as not known
 */
export function situation({ draft, screens, kit, now }) {
  const document = { format: "opsrisk.situation/1", assessed_at: now };
  for (const question of screens.flatMap((screen) => screen.questions)) {
    if (!isAsked(question, draft)) {
      if (question.otherwise !== "") put(document, question.field, question.otherwise);
    } else if (question.field in draft.answers) {
      putAnswer(document, question, draft.answers[question.field], kit);
    }
  }
  const crewList = people(draft, kit);
  if (crewList.length) put(document, "people", crewList);
  return document;
}
