/** Says an answer in words, for the pages that repeat it. */

import { app, personOf, siteOf } from "./context.js";
import { asWritten } from "./language.js";
import { nameOf } from "./people.js";
import { dayAndClock } from "./say.js";

const NOT_KNOWN = "Not known";
const label = (/** @type {any} */ question, /** @type {string} */ value) =>
  question.choices.find((/** @type {any} */ choice) => choice.value === value)?.label ?? NOT_KNOWN;

/** @param {any} question @param {string} unit */
const unitName = (question, unit) => question.units.find((/** @type {any} */ one) => one.unit === unit)?.unit ?? unit;

/** @param {any} question @param {any} answer */
function reading(question, answer) {
  const range = answer.low ? `, ${answer.low} to ${answer.high}` : "";
  return `${answer.value} ${unitName(question, answer.unit)}${range}, ${answer.how} ${dayAndClock(answer.at)}`;
}

/** @param {any} answer */
function position(answer) {
  if (answer.filled !== "yes") return answer.filled === "no" ? "Nobody" : NOT_KNOWN;
  const person = personOf(answer.person);
  const name = person ? nameOf(person) : "Somebody";
  const states = { qualified: "qualified", ready: "ready", sole_duty: "nothing else to do" };
  const words = Object.entries(states).map(([state, yes]) => ({ yes, no: `not ${yes}`, unknown: `${yes}: not known` })[answer[state]]);
  return `${name}: ${words.join(", ").replace("not nothing else to do", "has other duties")}`;
}

/** @param {any} answer */
function condition(answer) {
  const one = (/** @type {string} */ value, /** @type {(value: string) => string} */ say) => (value === "unknown" ? "not known" : say(value));
  return Object.entries(answer)
    .map(([id, given]) => {
      const fit = { yes: "fit", no: "not fit", unknown: "fitness not known" }[given.fit];
      const awake = `awake ${one(given.hours_awake, (value) => `up to ${value} h`)}`;
      const dives = `dives in 24 h: ${one(given.dives_24h, (value) => value)}`;
      const person = personOf(id);
      return `${person ? nameOf(person) : "Somebody"}: ${fit}, ${awake}, ${dives}`;
    })
    .join("; ");
}

/** @param {any} question @param {any} answer undefined if there is none @returns {string} */
export function inWords(question, answer) {
  if (answer === undefined) return "Not provided: counts as not known";
  if (answer === "unknown") return NOT_KNOWN;
  switch (question.kind) {
    case "choice":
      return label(question, answer);
    case "reading":
      return reading(question, answer);
    case "quantity":
      return `${answer.value} ${answer.unit}`;
    case "ago":
      return `${dayAndClock(answer.at)} (given as ${answer.value} ${answer.unit} ago)`;
    case "place":
      return [asWritten(siteOf(answer.site)?.name) || "Somewhere else", asWritten(answer.place)].filter(Boolean).join(", ");
    case "position":
      return position(answer);
    case "condition":
      return Object.keys(answer).length ? condition(answer) : "Nobody named yet";
    case "vehicle":
      return answer.vehicle ? asWritten(app.kit.vehicles.find((/** @type {any} */ one) => one.id === answer.vehicle)?.name) || NOT_KNOWN : "No vehicle";
    default:
      throw new TypeError(`no words for a ${question.kind}`);
  }
}
