/** What every page of the tablet shares: who works, with what, on which assessment. */

import { personIn } from "./people.js";

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
