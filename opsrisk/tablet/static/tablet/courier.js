/** Hands something to the server in its owner's name, and tells apart: taken, refused, to be tried again, not signed in. */

import { NoServer, PATIENCE_MS, SignedOut, session, spoken } from "./kit.js";

/** The server's own words of refusal, or "" when it was not the server who spoke. @param {Response} response */
export async function refusal(response) {
  const { errors } = (await spoken(response)) ?? {};
  if (typeof errors === "string") return errors;
  const said = (/** @type {any} */ one) => (one.field ? `${one.field}: given ${one.given}; accepted: ${one.accepted}` : one.accepted);
  return Array.isArray(errors) ? errors.map(said).join(". ") : "";
}

/** @param {string} url @param {any} body @param {any} who @param {string} owner @param {Record<string, string>} about */
async function post(url, body, who, owner, about) {
  try {
    // Sent-By: should somebody else have signed in since we asked who it is, the server takes nothing.
    const headers = { ...about, "X-CSRFToken": who.csrf, "Sent-By": owner };
    return await fetch(url, { method: "POST", headers, body, signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch {
    throw new NoServer("no network");
  }
}

/**
 * @param {{url: string, body: any, type: string, owner: string, who: any, key?: string}} given  key: by which the server knows a repetition; who: the session; its token is renewed in place
 * @returns {Promise<{answer?: any, refused?: string}>} refused: the server's words
 */
export async function hand({ url, body, type, owner, who, key = "" }) {
  const about = { "Content-Type": type, ...(key ? { "Idempotency-Key": key } : {}) };
  for (let again = false; ; again = true) {
    const response = await post(url, body, who, owner, about);
    if (response.status === 401) throw new SignedOut("sign in to send");
    if (response.status >= 500 || [404, 408, 409, 429].includes(response.status)) throw new NoServer(`the server answered ${response.status}`);
    if (response.ok) return { answer: await spoken(response) };
    const refused = await refusal(response);
    if (!refused && response.status !== 403) throw new NoServer(`something between here and the server answered ${response.status}`);
    if (response.status !== 403 || again) return { refused: refused || "The server does not let this person send it." };
    // A token may have been renewed since we asked, by a sign-in in another tab: who is it now?
    const now = await session();
    if (now.person.id !== owner || now.agency.id !== who.agency.id) throw new SignedOut("sign in to send");
    Object.assign(who, now);
  }
}
