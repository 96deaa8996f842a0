/** A photo's bytes on the device: cut into parts, each sealed under a key of the photo's own, each with its SHA-256. */

import { hex } from "./canonical.js";

/** How large a part is. A link that breaks loses one part at most, and 128 kB goes through a poor one within seconds. */
export const split = { bytes: 131072 };

export const LARGEST_BYTES = 20 * 1024 * 1024;

/** @param {Uint8Array} bytes */
export const sha256 = async (bytes) => hex(await crypto.subtle.digest("SHA-256", bytes));

/** @param {Uint8Array} bytes */
export function text(bytes) {
  let found = "";
  for (let at = 0; at < bytes.length; at += 8192) found += String.fromCharCode(...bytes.subarray(at, at + 8192));
  return btoa(found);
}

/** @param {string} given base64 */
export const fromText = (given) => Uint8Array.from(atob(given), (one) => one.charCodeAt(0));

/** @param {string} key base64 */
const opened = (key) => crypto.subtle.importKey("raw", fromText(key), "AES-GCM", false, ["encrypt", "decrypt"]);

/**
 * What has to be known of the bytes, and the rows that hold them sealed.
 * @param {Uint8Array} bytes @param {{id: string, owner: string}} photo
 */
export async function sealed(bytes, { id, owner }) {
  const key = text(crypto.getRandomValues(new Uint8Array(32)));
  const under = await opened(key);
  const cut = Array.from({ length: Math.ceil(bytes.length / split.bytes) }, (_, n) => bytes.subarray(n * split.bytes, (n + 1) * split.bytes));
  const parts = await Promise.all(cut.map(sha256));
  const chunks = await Promise.all(cut.map(async (part, n) => {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    return { id: chunkId(id, n), owner, iv, sealed: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, under, part) };
  }));
  return { key, chunks, about: { size: bytes.length, sha256: await sha256(bytes), part_bytes: split.bytes, parts } };
}

/** @param {string} photo @param {number} n */
export const chunkId = (photo, n) => `${photo} ${n}`;

/** The part in `row`, or null where its seal does not open. @param {any} row of chunks @param {string} key */
export async function unsealed(row, key) {
  if (!row) return null;
  try {
    return new Uint8Array(await crypto.subtle.decrypt({ name: "AES-GCM", iv: row.iv }, await opened(key), row.sealed));
  } catch {
    return null;
  }
}
