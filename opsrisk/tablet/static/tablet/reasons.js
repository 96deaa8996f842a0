/** The parts of a decision in words: what fired, the sum, the controls, the margins, what was not known. */

import { app, DECISION_WORDS } from "./context.js";
import { h } from "./dom.js";

/** A position in words. @param {string} owner */
export function positionName(owner) {
  for (const screen of app.screens) {
    for (const question of screen.questions) if (question.field === `positions.${owner}`) return question.label;
  }
  return owner.replaceAll("_", " ");
}

/** What stands where nothing was published. */
const OWN_SOURCES = ["common practice", "agency's choice"];

/** @param {any} source text, or {document, where} */
const sourceWords = (source) => (typeof source === "string" ? source : [source?.document, source?.where].filter(Boolean).join(", "));

/** A citation stays in its own words. @param {any} source */
function cited(source) {
  const words = sourceWords(source);
  return OWN_SOURCES.includes(words) ? words : h("span", { translate: "no", lang: "en" }, words);
}

/** Rules that fired, each with reading, limit and source. @param {any[]} fired */
export function firedList(fired) {
  return h(
    "ul",
    { class: "fired" },
    fired.map((one) =>
      h(
        "li",
        {},
        h("p", { class: "critical" }, one.text, one.absolute && h("strong", { class: "absolute" }, "Cannot be overridden")),
        // A yes or no is its own limit and need not be said twice.
        one.reading && h("p", {}, one.reading.endsWith(`: ${one.limit}`) ? `${one.reading}.` : `${one.reading}. Limit: ${one.limit}.`),
        h("p", { class: "source" }, "Source: ", cited(one.source)),
      ),
    ),
  );
}

/** @param {string} title @param {any} content @param {string} [kind] */
const section = (title, content, kind = "") => h("section", { class: `part ${kind}` }, h("h2", {}, title), content);

/** @param {any} decision */
export function why(decision) {
  const groups = [
    ["Stops", decision.stops],
    ["Triggers", decision.triggers],
    ["The vehicle cannot do it", decision.vehicle ?? []],
  ].filter(([, fired]) => fired.length);
  const said = new Set(groups.flatMap(([, fired]) => fired.map((/** @type {any} */ one) => one.text)));
  const flags = (decision.flag_words ?? []).filter((/** @type {any} */ flag) => !said.has(flag.text));
  return section("Why", [
    h("p", { class: "rule" }, h("strong", {}, "The rule that decided: "), decision.rule.text),
    ...groups.map(([title, fired]) => [h("h3", {}, title), firedList(fired)]),
    groups.length === 0 && h("p", {}, "No configured limit exceeded."),
    flags.length > 0 && [h("h3", {}, "Also worth saying"), h("ul", {}, flags.map((/** @type {any} */ flag) => h("li", {}, flag.text)))],
  ]);
}

/** The points, so that anybody can add them up. @param {any} decision */
export function points(decision) {
  const total = decision.points.reduce((/** @type {number} */ sum, /** @type {any} */ one) => sum + one.points, 0);
  const capped = total > 100 ? `${total}, capped at 100` : String(total);
  return section(
    `Score ${decision.score} of 100 for diver exposure`,
    decision.points.length
      ? h(
          "div",
          { class: "scroll", tabindex: "0", role: "region", "aria-label": "Points" },
          h(
            "table",
            {},
            h("thead", {}, h("tr", {}, ["What", "Reading", "Band", "Points"].map((name) => h("th", { scope: "col" }, name)))),
            h("tbody", {}, decision.points.map((/** @type {any} */ one) => h("tr", {}, h("th", { scope: "row" }, one.label), h("td", {}, one.reading), h("td", {}, one.band), h("td", { class: "figure" }, one.points)))),
            h("tfoot", {}, h("tr", {}, h("th", { scope: "row", colspan: 3 }, "Sum"), h("td", { class: "figure" }, capped))),
          ),
        )
      : h("p", {}, "No factor adds points."),
  );
}

/** Whether the answer would change within what is not known exactly. @param {any} decision */
export function certainty(decision) {
  if (decision.settled) return section("How certain", h("p", {}, "Settled: the same decision at the best and at the worst end of all readings."));
  const margin = decision.margins.find((/** @type {any} */ one) => one.input === decision.settle_by);
  const settle = margin?.label ?? labelOf(decision.settle_by);
  const enough = margin && goodEnough(margin);
  return section(
    "How certain",
    [
      h("p", { class: "critical" }, "Not settled"),
      h("p", {}, `At the best end of the readings: ${DECISION_WORDS[decision.best]}. At the worst end: ${DECISION_WORDS[decision.worst]}.`),
      settle && h("p", {}, h("strong", {}, "Measure this better: "), settle, enough && `. Good enough when ${enough}.`),
    ],
    "unsettled",
  );
}

/** How good a measurement has to be: its whole range between the values at which the answer changes. @param {any} margin */
function goodEnough(margin) {
  const now = Number.parseFloat(margin.now);
  const ends = [margin.better, margin.worse].filter(Boolean).map((end) => end.value);
  if (Number.isNaN(now) || ends.length === 0 || ends.some((end) => !Number.isFinite(Number(end)))) return "";
  const [low, high] = ends.sort((one, other) => Number(one) - Number(other));
  if (high !== undefined) return `surely between ${low} and ${high} ${margin.unit}`;
  return Number(low) === now ? "" : `surely ${Number(low) > now ? "under" : "over"} ${low} ${margin.unit}`;
}

/** @param {string | null} input */
function labelOf(input) {
  for (const screen of app.screens) for (const question of screen.questions) if (question.field === input) return question.label;
  return input ? input.split(".").pop()?.replaceAll("_", " ") : "";
}

/** @param {any} margin @param {"worse" | "better"} way */
function flip(margin, way) {
  const change = margin[way];
  if (!change) return null;
  const at = `${change.beyond ? "just beyond " : ""}${change.value.replaceAll("_", " ")} ${margin.unit}`.trim();
  return h("li", {}, `${margin.label}: now ${margin.now}; at ${at}, `, h("strong", {}, DECISION_WORDS[change.decision]));
}

/** @param {any} decision */
export function margins(decision) {
  const worse = decision.margins.map((/** @type {any} */ one) => flip(one, "worse")).filter(Boolean);
  const better = decision.margins.map((/** @type {any} */ one) => flip(one, "better")).filter(Boolean);
  return section("What would change it", [
    worse.length > 0 && [h("h3", {}, "More caution, if"), h("ul", {}, worse)],
    better.length > 0 && [h("h3", {}, "Less caution, if"), h("ul", {}, better)],
    worse.length + better.length === 0 && h("p", {}, "No single reading changes it."),
  ]);
}

/** @param {any} decision */
export function unknowns(decision) {
  return [
    decision.assumed.length > 0 &&
      section("Not known, taken at the worst", h("ul", {}, decision.assumed.map((/** @type {any} */ one) => h("li", {}, `${one.label}: ${one.why}, taken as ${one.assumed.replaceAll("_", " ")}`)))),
    section("Not assessed here", h("ul", {}, decision.not_assessed.map((/** @type {string} */ one) => h("li", {}, one)))),
    decision.waivers?.length > 0 && section("Waivers in the protocol", h("ul", {}, decision.waivers.map((/** @type {any} */ one) => h("li", {}, one.text)))),
  ];
}

/** @param {any} decision */
export const cautions = (decision) => section("Cautions", h("ul", {}, (decision.cautions ?? app.cautions).map((/** @type {string} */ one) => h("li", {}, one))), "cautions");
