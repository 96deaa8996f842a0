/** What every page of the tablet shares: who works, with what, on which assessment. */

import { asWritten } from "./language.js";
import { personIn } from "./people.js";
import { perhaps } from "./speaking.js";

/**
 * @type {{person: any, agency: any, kit: any, session: any, screens: any[], cautions: string[], version: string,
 *   device: string, signedOut: boolean, draft: any, engine: string, theme: string, readOnly: boolean}}
 */
export const app = {
  person: null,
  agency: null,
  kit: null,
  session: null,
  screens: [],
  cautions: [],
  version: document.documentElement.dataset.version ?? "",
  device: "",
  signedOut: false,
  draft: null,
  engine: "starting",
  theme: "day",
  readOnly: false,
};

/** The person with this id, on the roster or a guest. @param {string | null | undefined} id */
export const personOf = (id) => personIn(app.kit, id);

/** @param {string | null} id */
export const siteOf = (id) => app.kit?.sites.find((/** @type {any} */ one) => one.id === id) ?? null;

/** What a place is called where nobody named it. It goes into the record. */
export const NO_PLACE = "Place not named";

/** The place of an operation as a page draws it; "" where there is none yet. @param {any} operation */
export const placeWords = ({ place }) => (place === NO_PLACE ? NO_PLACE : asWritten(place));

/** The title of an operation as a page draws it: our own words in it are said in the language of the page. @param {any} operation */
export const titleWords = ({ title, place }) => perhaps(place && place !== NO_PLACE ? (title ?? "").replace(place, asWritten(place)) : (title ?? ""));

/** A word for each decision, the same on screen, map and paper. */
export const DECISION_WORDS = {
  divers: "Divers may enter",
  divers_with_controls: "Divers may enter once the controls are in place",
  vehicle_first: "Vehicle first",
  vehicle_only: "Vehicle only",
  hold: "Hold",
};

/** The order of places on the page after the questions. */
export const STEPS = ["check", "judgement", "decision", "choose", "brief", "sign", "sheet"];

/** @param {string} step */
export const go = (step) => {
  location.hash = app.draft ? `#/d/${app.draft.id}/${step}` : "#/";
};
