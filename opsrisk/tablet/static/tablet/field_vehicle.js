/** Which vehicle of the agency's kit list is here, or that there is none. */

import { asWritten } from "./language.js";
import { NOT_KNOWN, chosen, group, idOf, tile } from "./tiles.js";

const NONE = "none";

/** @param {any} vehicle */
const limits = (vehicle) =>
  [`to ${Number(vehicle.depth_rating_m)} m`, `${Number(vehicle.tether_length_m)} m tether`, vehicle.imaging_sonar ? "imaging sonar" : "no imaging sonar"].join(" · ");

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, vehicles: any[], committed: () => void}} page
 */
export function vehicleField(question, draft, { touch, vehicles }) {
  const id = idOf(question.field);
  const given = draft.typing[question.field] ?? draft.answers[question.field];
  const selected = given === "unknown" ? "unknown" : given ? (given.vehicle ?? NONE) : "";
  const answerOf = () => {
    const value = chosen(element, id);
    if (value === "" || value === "unknown") return value;
    return { vehicle: value === NONE ? null : value };
  };
  const element = group({
    id,
    legend: question.label,
    hidden: true,
    hint: question.hint,
    tiles: [
      ...vehicles.map((one) => tile({ name: id, value: one.id, label: asWritten(one.name), words: limits(one), checked: one.id === selected })),
      tile({ name: id, value: NONE, label: "No vehicle", words: "the team has none", checked: selected === NONE }),
      tile({ name: id, ...NOT_KNOWN, checked: selected === "unknown" }),
    ],
    changed: () => touch(answerOf()),
  });
  const read = () => {
    const answer = answerOf();
    return answer === "" ? { errors: [{ id, words: "Choose the vehicle, No vehicle, or Not known." }] } : { answer };
  };
  return { element, read };
}
