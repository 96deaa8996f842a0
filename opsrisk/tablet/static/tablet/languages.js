/** Which language the screen has: the agency's, until somebody at this tablet chooses; kept on the device with no network. */

import { h } from "./dom.js";
import { learn, speak, spoken } from "./speaking.js";
import * as store from "./store.js";

/** Each language by its own name, and what is to be said of it. */
export const LANGUAGES = {
  en: { own: "English", row: ["Language: English", ""] },
  es: { own: "Español", row: ["Language: Spanish, translated by the engineers", "Have it reviewed by a Spanish-speaking dive supervisor before use."] },
};

/** `chosen` at this tablet, else as the agency has it. */
const setting = { chosen: "", agency: "en", decimal: "." };

const say = () => speak(setting.chosen || setting.agency, setting.decimal);

/** What was kept last: the page may have to speak before it knows whose it is. */
export async function loadLanguage() {
  Object.assign(setting, (await store.get("settings", "language"))?.value);
  say();
}

/** @param {Record<string, Record<string, string>>} catalogues */
export function learnLanguages(catalogues) {
  learn(catalogues);
  say();
}

const keep = () => store.write({ put: { settings: [{ name: "language", value: { ...setting } }] } });

/** The agency's own, with the kit. @param {{language?: string, decimal?: string}} agency */
export async function followAgency({ language = "en", decimal = "." }) {
  Object.assign(setting, { agency: language, decimal });
  say();
  await keep();
}

/** @param {string} tag */
export async function chooseLanguage(tag) {
  if (!(tag in LANGUAGES)) return;
  setting.chosen = tag;
  say();
  await keep();
}

/** What the start page says of the language that is spoken. */
export const languageRow = () => LANGUAGES[spoken()].row;

/** The way to each other language, by its own name. */
export const otherLanguage = () =>
  Object.entries(LANGUAGES).filter(([tag]) => tag !== spoken()).map(([tag, { own }]) => h("a", { href: `#/language/${tag}`, class: "control plain", lang: tag, translate: "no" }, own));
