/**
 * The tablet's own database. Nothing counts as saved until the transaction has completed, and every
 * transaction asks the browser to flush it to the disk before it says so.
 */

const NAME = "opsrisk-tablet";
const VERSION = 1;

/** drafts: work in hand; outbox: finished records; kit: what the server sent last; vault: keys; settings: theme, device. */
const STORES = { drafts: "id", outbox: "id", kit: "owner", vault: "owner", settings: "name" };

/** What went wrong, in words that say what to do. */
export class NotSaved extends Error {}

/** @param {any} error the browser's, which may be missing altogether */
function words(error) {
  if (error?.name === "QuotaExceededError") return "This device is full. Free some space, then tap Save again. Nothing on the page is lost.";
  return `The device did not save (${error?.name ?? "no reason given"}). Keep the page open and tap Save again.`;
}

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
    request.onblocked = () => reject(new NotSaved("Another tab holds an older version of this page. Close it, then open this one again."));
    request.onerror = () => reject(new NotSaved(words(request.error)));
    request.onsuccess = () => resolve(request.result);
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

/**
 * Runs `work` in one transaction and resolves with its result when the transaction has completed.
 * @param {string[]} names @param {"readonly" | "readwrite"} mode
 * @param {(stores: Record<string, IDBObjectStore>) => (() => any) | void} work  returns how to read the result
 */
async function transact(names, mode, work) {
  const db = await database();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(names, mode, { durability: "strict" });
    let result = () => undefined;
    transaction.oncomplete = () => resolve(result());
    transaction.onabort = () => reject(new NotSaved(words(transaction.error)));
    transaction.onerror = (event) => event.preventDefault?.();
    try {
      const stores = Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)]));
      result = work(stores) ?? result;
    } catch (error) {
      reject(new NotSaved(words(error)));
      transaction.abort();
    }
  });
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
  return transact(names, "readwrite", (stores) => {
    for (const [store, rows] of Object.entries(put)) for (const row of rows) stores[store].put(row);
    for (const [store, keys] of Object.entries(remove)) for (const key of keys) stores[store].delete(key);
  });
}

/** Asks the browser not to clear this site's data by itself; false when it does not promise. */
export async function keepForGood() {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
