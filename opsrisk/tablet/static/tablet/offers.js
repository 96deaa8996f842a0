/** Readings that the device can work out for the place and the hour: a proposal, never an answer by itself. */

import { app, siteOf } from "./context.js";
import { onDevice } from "./engine.js";
import { isoLocal } from "./say.js";

/**
 * @param {string} name current or daylight
 * @returns {Promise<any>} {words, value, unit, low, high, window}, or null where nothing can be proposed
 */
export async function offer(name) {
  const site = siteOf(app.draft.operation.site);
  if (!site) return null;
  const station = site.station ? (app.kit.stations[site.station] ?? null) : null;
  try {
    const given = { name, now: isoLocal(new Date()), site, station };
    return (await onDevice("offer", given)).offer;
  } catch {
    return null; // no proposal: the person measures, as they would without this page
  }
}
