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
// Not in it: chunks, whose key is sealed with their photo, so that a new lock need not seal megabytes anew.
const SEALED = ["drafts", "outbox", "kit", "watch", "log", "photos"];
const TURNS = 20; // each is lost only to somebody else's write that succeeded

export class WrongCode extends Error {}
const WRONG_CODE = "That is not the signing code of this person. Type it again; small and large letters differ.";

/**
 * `serial` counts the keys that this vault has had: setting the lock makes a new one, perhaps in another tab.
 * @type {{owner: string, key: CryptoKey, serial: number} | null}
 */
let open = null;

const serialOf = (/** @type {any} */ row) => row?.serial ?? 0;

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
  let row = await store.get("vault", person);
  if (!row) {
    row = { owner: person, session: await closed(await newKey()), wrapped: null, serial: 0 };
    // Two tabs may come first at once: the key of one of them is everybody's.
    await store.exchange([{ store: "vault", key: person }], ["vault"], (found) => {
      row = found ?? row;
      return found ? null : { put: { vault: [row] } };
    });
  }
  if (!row.session) return false;
  open = { owner: person, key: row.session, serial: serialOf(row) };
  return true;
}

/** The person whose vault is open on this device after a restart, or null. */
export async function lastOwner() {
  const rows = await store.all("vault");
  return { open: rows.filter((row) => row.session).map((row) => row.owner), locked: rows.filter((row) => !row.session).map((row) => row.owner) };
}

export const protectedByCode = async () => Boolean((await store.get("vault", mine().owner))?.wrapped);

/** Takes up the key that the vault has now. */
async function reopen() {
  const person = mine().owner;
  const row = await store.get("vault", person);
  open = row?.session ? { owner: person, key: row.session, serial: serialOf(row) } : null;
  mine();
}

/**
 * The rows of whoever's vault is open (none while it is locked), each with its content, or null where its seal does not open. Reading takes a
 * moment, in which the lock may be set: what was read under the former key is then read again.
 * @param {string} name @param {IDBValidKey} [key] that row alone
 * @returns {Promise<{row: any, content: any}[]>}
 */
export async function read(name, key) {
  for (let turn = 1; open; turn += 1) {
    const { owner: person, key: under, serial } = mine();
    const found = key === undefined ? await store.all(name) : [await store.get(name, key)];
    const rows = found.filter((row) => row?.owner === person);
    const made = await Promise.all(rows.map(async (row) => ({ row, content: await openWith(row, under).catch(() => null) })));
    if (made.every((one) => one.content) || turn === TURNS) return made;
    if (serialOf(await store.get("vault", person)) === serial) return made; // no key of this vault opens it
    await reopen();
  }
  return [];
}

/**
 * Writes rows with their content sealed, all together. Sealing takes a moment, in which the lock may be set: what was
 * sealed under the former key is not written, or nobody could open it any more.
 * @param {{store: string, row: any, content: any}[]} rows
 * @param {{also?: {store: string, key?: IDBValidKey}[], adjust?: (made: any[], ...found: any[]) => any[], beside?: {put?: Record<string, any[]>, remove?: Record<string, IDBValidKey[]>}, spare?: boolean}} [how]
 *   also: what `adjust` has to see, in the same transaction, before it says what is written
 *   spare: whether it may have the room of the reserve
 *   beside: other rows of the same transaction, which need no seal of this vault
 */
export async function keep(rows, { also = [], adjust = (made) => made, beside = {}, spare = true } = {}) {
  const stores = rows.map((one) => one.store);
  const written = [...stores, ...Object.keys(beside.put ?? {}), ...Object.keys(beside.remove ?? {})];
  for (let turn = 0; turn < TURNS; turn += 1) {
    const { owner: person, key, serial } = mine();
    const made = await Promise.all(rows.map(async ({ row, content }) => ({ ...row, ...(await sealWith(content, key)) })));
    const done = await store.exchange([{ store: "vault", key: person }, ...also], written, (vault, ...found) => {
      if (serialOf(vault) !== serial) return null;
      /** @type {Record<string, any[]>} */
      const put = { ...beside.put };
      adjust(made, ...found).forEach((row, place) => (put[stores[place]] ??= []).push(row));
      return { put, remove: beside.remove };
    }, spare);
    if (done) return;
    await reopen();
  }
  throw new store.NotSaved("The device did not save: its lock was being changed. Tap Save again.");
}

const text = (/** @type {Uint8Array} */ bytes) => String(bytes);

/** Every sealed row of `person`, opened and sealed anew: by store and former seal. What does not open stays as it is. @param {string} person @param {CryptoKey} old @param {CryptoKey} fresh */
async function resealed(person, old, fresh) {
  const entries = await Promise.all(SEALED.map(async (name) => {
    const rows = (await store.all(name)).filter((row) => row.owner === person);
    const seal = (/** @type {any} */ row) => openWith(row, old).then((content) => sealWith(content, fresh), () => ({}));
    const made = await Promise.all(rows.map(async (row) => [text(row.iv), await seal(row)]));
    return [name, new Map(/** @type {any} */ (made))];
  }));
  return Object.fromEntries(entries);
}

/** Seals everything anew under a key that `code` can bring back. @param {string} code */
export async function protect(code) {
  const salt = random(16);
  const iv = random(12);
  const wrapping = await keyFromCode(code, salt);
  for (let turn = 0; turn < TURNS; turn += 1) {
    const { owner: person, key: old, serial } = mine();
    const fresh = await newKey();
    const bytes = await crypto.subtle.wrapKey("raw", fresh, wrapping, { name: "AES-GCM", iv });
    const session = await closed(fresh);
    const seals = await resealed(person, old, session);
    const asked = [{ store: "vault", key: person }, ...SEALED.map((name) => ({ store: name }))];
    const written = await store.exchange(asked, [], (vault, ...found) => {
      if (serialOf(vault) !== serial) return null;
      /** @type {Record<string, any[]>} */
      const put = { vault: [{ owner: person, session, serial: serial + 1, wrapped: { salt, iv, bytes, iterations: ITERATIONS } }] };
      for (const [place, name] of SEALED.entries()) {
        const rows = found[place].filter((/** @type {any} */ row) => row.owner === person);
        // A row that was written since it was read has another seal: everything is done again.
        if (rows.some((/** @type {any} */ row) => !seals[name].has(text(row.iv)))) return null;
        put[name] = rows.map((/** @type {any} */ row) => ({ ...row, ...seals[name].get(text(row.iv)) }));
      }
      return { put };
    });
    if (written) {
      open = { owner: person, key: session, serial: serial + 1 };
      return;
    }
    await reopen();
    if (await protectedByCode()) return; // another tab was first
  }
  throw new store.NotSaved("The lock could not be set while other work was being saved. Try again.");
}

/** Throws the open key away. Only for a vault that a code can open again. */
export async function lock() {
  const locked = await store.exchange([{ store: "vault", key: mine().owner }], ["vault"], (row) => (row?.wrapped ? { put: { vault: [{ ...row, session: null }] } } : null));
  if (!locked) throw new store.NotSaved("Give your signing code first: without it nobody could open this work again.");
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
  if (!key) throw new WrongCode(WRONG_CODE);
  await store.write({ put: { vault: [{ ...row, session: key }] } });
  open = { owner: person, key, serial: serialOf(row) };
}

/** `content` sealed under `code` alone, for a file: whoever has the file without the code has nothing. @param {any} content @param {string} code */
export async function sealForFile(content, code) {
  const salt = random(16);
  const iv = random(12);
  const key = await fileKey(code, salt, ITERATIONS);
  const sealed = await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, new TextEncoder().encode(JSON.stringify(content)));
  return { salt, iv, iterations: ITERATIONS, sealed: new Uint8Array(sealed) };
}

/** @param {{salt: Uint8Array, iv: Uint8Array, iterations: number, sealed: Uint8Array}} file @param {string} code */
export async function openFile({ salt, iv, iterations, sealed }, code) {
  const key = await fileKey(code, salt, iterations);
  let bytes;
  try {
    bytes = await crypto.subtle.decrypt({ name: "AES-GCM", iv }, key, sealed);
  } catch {
    throw new WrongCode("The file does not open: it was sealed with another signing code, or it was altered.");
  }
  return JSON.parse(new TextDecoder().decode(bytes));
}

/** @param {string} code @param {Uint8Array} salt @param {number} iterations */
async function fileKey(code, salt, iterations) {
  const secret = await crypto.subtle.importKey("raw", new TextEncoder().encode(code.normalize("NFC")), "PBKDF2", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt, iterations }, secret, { name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
}
