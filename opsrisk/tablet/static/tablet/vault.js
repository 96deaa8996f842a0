/**
 * Keeps what is stored unreadable to the next user of the tablet.
 *
 * Names, places and records are sealed with AES-GCM under a data key. While a person is signed in the
 * browser holds that key in a form that no script can read out. Once the person has given a signing
 * code, a copy of the key wrapped under that code is kept too; locking the tablet throws the open copy
 * away, and only the code brings the work back.
 */

import * as store from "./store.js";

const ITERATIONS = 600000; // the same cost as for signing: a stolen tablet must not make the code cheap to guess
const SEALED = ["drafts", "outbox", "kit"];

export class WrongCode extends Error {}

/** @type {{owner: string, key: CryptoKey} | null} */
let open = null;

export const owner = () => open?.owner ?? null;

const random = (/** @type {number} */ length) => crypto.getRandomValues(new Uint8Array(length));
const newKey = () => crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, true, ["encrypt", "decrypt"]);

/** @param {CryptoKey} key a copy whose bytes cannot be read out again */
async function closed(key) {
  const raw = await crypto.subtle.exportKey("raw", key);
  return crypto.subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
}

/** @param {string} code @param {Uint8Array} salt */
async function keyFromCode(code, salt) {
  const secret = await crypto.subtle.importKey("raw", new TextEncoder().encode(code.normalize("NFC")), "PBKDF2", false, ["deriveKey"]);
  const cost = { name: "PBKDF2", hash: "SHA-256", salt, iterations: ITERATIONS };
  return crypto.subtle.deriveKey(cost, secret, { name: "AES-GCM", length: 256 }, false, ["wrapKey", "unwrapKey"]);
}

/** @param {any} content @param {CryptoKey} key */
async function sealWith(content, key) {
  const iv = random(12);
  const bytes = new TextEncoder().encode(JSON.stringify(content));
  return { iv, sealed: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, bytes) };
}

/** @param {{iv: Uint8Array, sealed: ArrayBuffer}} row @param {CryptoKey} key */
async function openWith(row, key) {
  return JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt({ name: "AES-GCM", iv: row.iv }, key, row.sealed)));
}

function mine() {
  if (!open) throw new store.NotSaved("This tablet is locked. Unlock it with your signing code, then go on.");
  return open;
}

/** Opens the vault of `person`, making one at the first visit. False if it is locked. @param {string} person */
export async function enter(person) {
  const row = await store.get("vault", person);
  if (row && !row.session) return false;
  const key = row?.session ?? (await closed(await newKey()));
  if (!row) await store.write({ put: { vault: [{ owner: person, session: key, wrapped: null }] } });
  open = { owner: person, key };
  return true;
}

/** The person whose vault is open on this device after a restart, or null. */
export async function lastOwner() {
  const rows = await store.all("vault");
  return { open: rows.filter((row) => row.session).map((row) => row.owner), locked: rows.filter((row) => !row.session).map((row) => row.owner) };
}

export const protectedByCode = async () => Boolean((await store.get("vault", mine().owner))?.wrapped);

/** @param {any} content */
export const seal = (content) => sealWith(content, mine().key);

/** @param {{iv: Uint8Array, sealed: ArrayBuffer}} row */
export const unseal = (row) => openWith(row, mine().key);

/** Seals everything anew under a key that `code` can bring back. @param {string} code */
export async function protect(code) {
  const { owner: person, key: old } = mine();
  const fresh = await newKey();
  const salt = random(16);
  const iv = random(12);
  const bytes = await crypto.subtle.wrapKey("raw", fresh, await keyFromCode(code, salt), { name: "AES-GCM", iv });
  const session = await closed(fresh);
  /** @type {Record<string, any[]>} */
  const put = { vault: [{ owner: person, session, wrapped: { salt, iv, bytes, iterations: ITERATIONS } }] };
  for (const name of SEALED) {
    const rows = (await store.all(name)).filter((row) => row.owner === person);
    put[name] = await Promise.all(rows.map(async (row) => ({ ...row, ...(await sealWith(await openWith(row, old), session)) })));
  }
  await store.write({ put });
  open = { owner: person, key: session };
}

/** Throws the open key away. Only for a vault that a code can open again. */
export async function lock() {
  const row = await store.get("vault", mine().owner);
  if (!row?.wrapped) throw new store.NotSaved("Give your signing code first: without it nobody could open this work again.");
  await store.write({ put: { vault: [{ ...row, session: null }] } });
  open = null;
}

/** @param {any} row of the vault @param {string} code @returns {Promise<CryptoKey | null>} */
async function unwrapped(row, code) {
  const wrapping = await keyFromCode(code, row.wrapped.salt);
  const how = { name: "AES-GCM", iv: row.wrapped.iv };
  try {
    return await crypto.subtle.unwrapKey("raw", row.wrapped.bytes, wrapping, how, "AES-GCM", false, ["encrypt", "decrypt"]);
  } catch {
    return null;
  }
}

/** Whether `code` would open this vault again. @param {string} code */
export const fits = async (code) => Boolean(await unwrapped(await store.get("vault", mine().owner), code));

/** @param {string} person @param {string} code */
export async function unlock(person, code) {
  const row = await store.get("vault", person);
  const key = await unwrapped(row, code);
  if (!key) throw new WrongCode("That is not the signing code of this person. Type it again; small and large letters differ.");
  await store.write({ put: { vault: [{ ...row, session: key }] } });
  open = { owner: person, key };
}
