/**
 * The tablet's own database. Nothing counts as saved until the transaction has completed, and every
 * transaction asks the browser to flush it to the disk before it says so.
 */

import { asWritten } from "./language.js";

const NAME = "opsrisk-tablet";
const VERSION = 3; // 1: without watch and log; 2: without photos

/**
 * drafts: work in hand; outbox: finished records; kit: what the server sent last; vault: keys; settings: theme, device;
 * watch: operations that this tablet follows; log: their readings, recalls and what became of them;
 * photos: what is known of each, and its key; chunks: their bytes, sealed under that key.
 */
const STORES = { drafts: "id", outbox: "id", kit: "owner", vault: "owner", settings: "name", watch: "id", log: "id", photos: "id", chunks: "id" };

/** What went wrong, in words that say what to do. */
export class NotSaved extends Error {
  /** @param {string} said @param {boolean} [full] for want of room */
  constructor(said, full = false) {
    super(said);
    this.full = full;
  }
}

/** @param {any} error the browser's, which may be missing altogether */
function words(error) {
  if (error?.name === "QuotaExceededError") return "This device is full. Free some space, then tap Save again. Nothing on the page is lost.";
  return `The device did not save (${asWritten(error?.name) || "no reason given"}). Keep the page open and tap Save again.`;
}

/** @param {any} error */
const notSaved = (error) => new NotSaved(words(error), error?.name === "QuotaExceededError");

/** @returns {Promise<IDBDatabase>} */
function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      // Stores are only ever added: an upgrade must not touch work that has not been sent.
      for (const [name, key] of Object.entries(STORES)) {
        if (!request.result.objectStoreNames.contains(name)) request.result.createObjectStore(name, { keyPath: key });
      }
    };
    let given = false; // up on waiting: a database that opens after that is closed again, or it would block the next
    request.onblocked = () => {
      given = true;
      reject(new NotSaved("Another tab holds an older version of this page. Close it, then open this one again."));
    };
    request.onerror = () => reject(new NotSaved(words(request.error)));
    request.onsuccess = () => (given ? request.result.close() : resolve(request.result));
  });
}

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

async function database() {
  opened ??= open();
  try {
    const db = await opened;
    db.onversionchange = () => {
      db.close();
      opened = null;
    };
    db.onclose = () => (opened = null);
    return db;
  } catch (error) {
    opened = null;
    throw error;
  }
}

/** A transaction; should another tab's upgrade have closed the database meanwhile, it is opened again. @param {string[]} names @param {"readonly" | "readwrite"} mode */
async function begin(names, mode) {
  const how = /** @type {const} */ ({ durability: "strict" });
  try {
    return (await database()).transaction(names, mode, how);
  } catch (error) {
    if (/** @type {any} */ (error)?.name !== "InvalidStateError") throw error;
    opened = null;
    return (await database()).transaction(names, mode, how);
  }
}

/**
 * Runs `work` in one transaction and resolves with its result when the transaction has completed.
 * @param {string[]} names @param {"readonly" | "readwrite"} mode
 * @param {(stores: Record<string, IDBObjectStore>, fail: (error: any) => void) => (() => any) | void} work  returns how to read the result
 */
async function transact(names, mode, work) {
  const transaction = await begin(names, mode);
  return new Promise((resolve, reject) => {
    let result = () => undefined;
    transaction.oncomplete = () => resolve(result());
    transaction.onabort = () => reject(notSaved(transaction.error));
    // A request that fails has to take the transaction with it: its error is not to be prevented.
    const fail = (/** @type {any} */ error) => {
      reject(notSaved(error));
      try {
        transaction.abort();
      } catch {
        // It has been aborted already.
      }
    };
    try {
      const stores = Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)]));
      result = work(stores, fail) ?? result;
    } catch (error) {
      fail(error);
    }
  });
}

const RESERVE = "reserve";
const RESERVE_BYTES = 2 * 1024 * 1024; // some hundred times what an assessment takes

/** Lays room aside that photos never get, so that what people write finds a place when photos have filled the rest. */
export async function layAside() {
  if (await get("settings", RESERVE)) return;
  const value = new Uint8Array(RESERVE_BYTES); // at random: zeros would be packed into nothing
  for (let at = 0; at < value.length; at += 65536) crypto.getRandomValues(value.subarray(at, at + 65536));
  await transact(["settings"], "readwrite", (stores) => void stores.settings.put({ name: RESERVE, value }));
}

/** Gives the reserve up; false if there is none. */
const giveUp = () =>
  transact(["settings"], "readwrite", (stores) => {
    const found = stores.settings.getKey(RESERVE);
    found.onsuccess = () => found.result && stores.settings.delete(RESERVE);
    return () => Boolean(found.result);
  });

/** Runs `work`; when the device is full, once more in the room of the reserve. @param {string[]} names @param {any} work @param {boolean} spare whether it may have that */
async function written(names, work, spare) {
  try {
    return await transact(names, "readwrite", work);
  } catch (error) {
    if (!spare || !(error instanceof NotSaved) || !error.full || !(await giveUp())) throw error;
    return transact(names, "readwrite", work);
  }
}

/** @param {string} store @param {IDBValidKey} key @returns {Promise<any>} */
export const get = (store, key) =>
  transact([store], "readonly", (stores) => {
    const request = stores[store].get(key);
    return () => request.result;
  });

/** @param {string} store @returns {Promise<any[]>} */
export const all = (store) =>
  transact([store], "readonly", (stores) => {
    const request = stores[store].getAll();
    return () => request.result;
  });

/**
 * Writes and deletes rows of several stores together or not at all.
 * @param {{put?: Record<string, any[]>, remove?: Record<string, IDBValidKey[]>}} change
 */
export function write({ put = {}, remove = {} }) {
  const names = [...new Set([...Object.keys(put), ...Object.keys(remove)])];
  return written(names, (/** @type {any} */ stores) => change(stores, { put, remove }), true);
}

/** @param {Record<string, IDBObjectStore>} stores @param {{put?: Record<string, any[]>, remove?: Record<string, IDBValidKey[]>}} change */
function change(stores, { put = {}, remove = {} }) {
  for (const [store, rows] of Object.entries(put)) for (const row of rows) stores[store].put(row);
  for (const [store, keys] of Object.entries(remove)) for (const key of keys) stores[store].delete(key);
}

/**
 * Reads and writes in one transaction, so that nothing comes between: `act` gets what `asked` names, in that
 * order (one row with a key, every row without), and returns the change, or null for none.
 * @param {{store: string, key?: IDBValidKey}[]} asked @param {string[]} others stores that are written without having been asked
 * @param {(...found: any[]) => {put?: Record<string, any[]>, remove?: Record<string, IDBValidKey[]>} | null} act
 * @param {boolean} [spare] whether it may have the room of the reserve: all but photos may
 * @returns {Promise<boolean>} whether there was a change
 */
export function exchange(asked, others, act, spare = true) {
  const names = [...new Set([...asked.map((one) => one.store), ...others])];
  return written(names, (/** @type {any} */ stores, /** @type {any} */ fail) => {
    let changed = false;
    let left = asked.length;
    const requests = asked.map(({ store, key }) => (key === undefined ? stores[store].getAll() : stores[store].get(key)));
    const all = () => {
      const made = act(...requests.map((request) => request.result));
      changed = made !== null;
      if (made) change(stores, made);
    };
    for (const request of requests) {
      request.onsuccess = () => {
        left -= 1;
        try {
          if (!left) all();
        } catch (error) {
          fail(error);
        }
      };
    }
    return () => changed;
  }, spare);
}

const ESTIMATED_RESERVE = 20 * 1024 * 1024;

/**
 * Whether so many bytes more would leave room enough, as far as the browser tells; some tell a round figure that is never
 * reached, which is what the reserve is for.
 * @param {number} bytes
 */
export async function hasRoom(bytes) {
  const found = await navigator.storage?.estimate?.().catch(() => null);
  return !found?.quota || (found.usage ?? 0) + bytes + ESTIMATED_RESERVE <= found.quota;
}

/** Asks the browser not to clear this site's data by itself; false when it does not promise. */
export async function keepForGood() {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
