/** Read and do: one tap from every page, with no network, whatever else is going on. */

import { app, personOf, placeWords, siteOf } from "./context.js";
import { h } from "./dom.js";
import { show } from "./frame.js";
import { nameOf } from "./people.js";

/** Common practice, without a published source. The agency's own plan, where it was written, stands first. */
const STEPS = [
  ["Stop the dive", "Give the recall signal. Count the divers, by name, aloud."],
  ["One voice", "The supervisor runs it. Everybody else does one thing, on the supervisor's word."],
  ["Standby diver", "In on the supervisor's word only, on a line, with a tender."],
  ["Call", "Emergency services now: diving emergency, how many, where, which way in. Say it twice."],
  ["Line and gas", "Keep every line in a hand. Do not cut. Do not shut down gas to a diver in the water."],
  ["Out of the water", "Flat, on the back, not breathing: resuscitate as trained, breaths first. Oxygen as trained."],
  ["Decompression", "Any sign after any dive: oxygen, lying flat, call the diving physician. Never back into the water."],
  ["Write down", "Times, depth, gas left. Keep the kit as it is, turned off, untouched."],
];

/** @param {any} answer */
const minutes = (answer) => (answer && answer !== "unknown" ? `${answer.value} ${answer.unit}` : "not known");

/** Where this is, to be read out over a telephone. */
function place() {
  const draft = app.draft;
  if (!draft) return null;
  const site = siteOf(draft.operation.site);
  const standby = personOf(draft.answers["positions.standby_diver"]?.person);
  return h(
    "section",
    { class: "say-where" },
    h("h2", {}, "Say where"),
    h("p", { class: "critical" }, placeWords(draft.operation) || "Place not named: say it from the map"),
    site?.lat && h("p", { class: "critical", translate: "no" }, `${Number(site.lat).toFixed(5)}, ${Number(site.lon).toFixed(5)}`),
    h("p", {}, `Hospital: ${minutes(draft.answers["support.care_minutes"])}. Chamber: ${minutes(draft.answers["support.chamber_minutes"])}.`),
    standby && h("p", {}, `Standby diver: ${nameOf(standby)}.`),
  );
}

/** @param {string} back the page that the person came from */
export function showEmergency(back) {
  const own = (app.draft?.brief.emergency ?? "").split("\n").map((/** @type {string} */ line) => line.trim()).filter(Boolean);
  show({
    title: "Emergency: read and do",
    wide: true,
    body: [
      place(),
      own.length > 0 && h("section", {}, h("h2", {}, "The plan for this place"), h("ol", { class: "do" }, own.map((/** @type {string} */ line) => h("li", { translate: "no" }, line)))),
      h("section", {}, h("h2", {}, own.length ? "And always" : "Do"), h("ol", { class: "do" }, STEPS.map(([name, words]) => h("li", {}, h("strong", {}, name), h("span", {}, words))))),
      h("p", { class: "source" }, "Common practice. Your agency's plan and the emergency services come before this list."),
    ],
    back: back || "#/",
  });
}
