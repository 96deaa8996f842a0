/** What somebody says back, item by item, as it is tapped or written by who hears it. */

import { app } from "./context.js";
import { h } from "./dom.js";
import { perhaps } from "./speaking.js";
import { chosen, group, tile } from "./tiles.js";

const OTHER = "other";
const NOTHING = "nothing";
const COULD_NOT = "could not say it";

/** The tiles of one item, and a field for other words. @param {string} item @param {string} legend @param {{told: any, choices: any}} loop */
export function itemField(item, legend, loop) {
  const tiles = [
    ...loop.choices[item].map((/** @type {string} */ words, /** @type {number} */ place) => tile({ name: item, value: String(place), label: perhaps(words) })),
    tile({ name: item, value: OTHER, label: "Other words" }),
    tile({ name: item, value: NOTHING, label: "Could not say it" }),
  ];
  const typed = h("textarea", { id: `${item}-words`, rows: 2, maxlength: 400 });
  const meant = group({ id: `${item}-right`, legend: "Does it mean the same as the sheet?", kind: "chips", changed: () => {},
    tiles: [tile({ name: `${item}-right`, value: "yes", label: "Yes, the same", kind: "chip" }), tile({ name: `${item}-right`, value: "no", label: "No", kind: "chip" })] });
  const own = h("div", { hidden: true }, h("label", { class: "text", for: `${item}-words` }, "What was said, in those words", typed), meant);
  const tilesOf = group({ id: `said-${item}`, legend, tiles, changed: () => (own.hidden = chosen(tilesOf, item) !== OTHER) });
  const read = () => {
    const picked = chosen(tilesOf, item);
    if (picked === NOTHING) return { said: COULD_NOT, right: false };
    if (picked !== OTHER) return picked === "" ? { missing: `said-${item}` } : said(loop.choices[item][Number(picked)], loop.told[item]);
    if (!typed.value.trim()) return { missing: `${item}-words` };
    const right = chosen(meant, `${item}-right`);
    return right ? { said: typed.value.trim(), right: right === "yes" } : { missing: `${item}-right` };
  };
  return { element: h("section", { class: "part" }, tilesOf, own), read };
}

/** @param {string} words @param {string} told */
const said = (words, told) => ({ said: words, right: words === told });

const MISSING = { said: "Tap what was said.", words: "Write what was said.", right: "Say whether it means the same." };

/** What is not answered yet, as errors. @param {any[]} answers item and what its field reads */
export const missing = (answers) => answers.filter(([, one]) => one.missing).map(([, one]) => ({ id: one.missing, words: MISSING[one.missing.startsWith("said") ? "said" : one.missing.split("-")[1]] }));

/** What will be kept, to look at before the second tap. @param {any[]} answers */
export const saidWords = (answers) => h("ul", {}, answers.map(([, one]) => h("li", {}, perhaps(one.said), one.right ? "" : h("b", {}, " (not as on the sheet)"))));

/** Who heard it: whoever holds the tablet, unless that is the one who speaks. @param {string} [speaks] the id of who speaks */
export function hearers(speaks) {
  const others = app.kit.roster.filter((/** @type {any} */ one) => one.id !== speaks);
  const start = others.find((/** @type {any} */ one) => one.id === app.person.id)?.id ?? "";
  return group({ id: "heard", legend: "Who heard it?", kind: "chips", changed: () => {}, tiles: others.map((/** @type {any} */ one) => tile({ name: "heard-by", value: one.id, label: h("span", { translate: "no" }, one.name), checked: one.id === start, kind: "chip" })) });
}
