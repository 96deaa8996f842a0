/**
 * Signs a record on this device. The signing code makes the key, so nothing secret is kept here: the
 * code is stretched with PBKDF2 into the seed of an Ed25519 key, and the public half is compared with
 * the one on the roster before anything is signed.
 */

import { canonicalBytes } from "./canonical.js";
import { h } from "./dom.js";
import { dayAndClock } from "./say.js";
import { asWritten } from "./language.js";

export class WrongCode extends Error {}
export class CannotSign extends Error {}

/** An Ed25519 private key is wrapped like this for import: a fixed head, then the 32 bytes of the seed (RFC 8410). */
const HEAD = [0x30, 0x2e, 0x02, 0x01, 0x00, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x04, 0x22, 0x04, 0x20];

export const MEANINGS = {
  decided: "decided",
  reviewed: "reviewed",
  briefed: "was briefed and read it back",
  overrode: "agrees to less caution than the tool asks for",
};

const ROLES = { supervisor: "dive supervisor", member: "team member", chief: "chief", safety_officer: "safety officer" };

/** A signature in words, the same wherever it is shown: who, in which role, as what, when. @param {any} one @returns {any[]} */
export const signedBy = (one) => [h("span", { translate: "no" }, one.name), `, ${ROLES[one.role] ?? one.role}: ${MEANINGS[one.meaning]}, ${dayAndClock(one.at)}`];

const fromBase64 = (/** @type {string} */ text) => Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
const toBase64 = (/** @type {ArrayBuffer} */ bytes) => btoa(String.fromCharCode(...new Uint8Array(bytes)));
const fromBase64Url = (/** @type {string} */ text) => fromBase64(text.replaceAll("-", "+").replaceAll("_", "/").padEnd(Math.ceil(text.length / 4) * 4, "="));

/** @param {string} code @param {{salt: string, iterations: number}} signer */
async function seed(code, signer) {
  const secret = await crypto.subtle.importKey("raw", new TextEncoder().encode(code.normalize("NFC")), "PBKDF2", false, ["deriveBits"]);
  const cost = { name: "PBKDF2", hash: "SHA-256", salt: fromBase64(signer.salt), iterations: signer.iterations };
  return new Uint8Array(await crypto.subtle.deriveBits(cost, secret, 256));
}

/** @param {Uint8Array} bytes the seed */
async function keyPair(bytes) {
  const pkcs8 = new Uint8Array([...HEAD, ...bytes]);
  try {
    const key = await crypto.subtle.importKey("pkcs8", pkcs8, "Ed25519", true, ["sign"]);
    const { x } = await crypto.subtle.exportKey("jwk", key);
    return { key, publicKey: toBase64(fromBase64Url(x ?? "").buffer) };
  } catch (error) {
    throw new CannotSign(`This browser cannot sign (${asWritten(/** @type {Error} */ (error).name)}). Sign the printed sheet by hand.`);
  }
}

/**
 * What a signature is over: the record's digest, who signs, as what, and when.
 * @param {{record: string, person: string, name: string, role: string, meaning: string, at: string}} act
 */
export const message = ({ record, person, name, role, meaning, at }) => canonicalBytes({ record, person, name, role, meaning, at });

/** The public key that `code` makes, in base64. @param {string} code @param {{salt: string, iterations: number}} signer */
export async function publicKeyOf(code, signer) {
  return (await keyPair(await seed(code, signer))).publicKey;
}

/** True if `code` is the code of `person`. @param {string} code @param {any} person of the roster */
export const codeFits = async (code, person) => (await publicKeyOf(code, person.signing)) === person.signing.public_key;

/**
 * @param {{record: string, person: any, role: string, meaning: string, at: string, code: string}} act
 * @returns {Promise<Record<string, string>>} the signature as the server takes it
 */
export async function sign({ record, person, role, meaning, at, code }) {
  if (!person.signing?.public_key) throw new CannotSign(`${asWritten(person.name)} has no signing code yet. It is set at the desk.`);
  const { key, publicKey } = await keyPair(await seed(code, person.signing));
  if (publicKey !== person.signing.public_key) {
    throw new WrongCode(`That is not the signing code of ${asWritten(person.name)}. Type it again; small and large letters differ.`);
  }
  const act = { record, person: person.id, name: person.name, role, meaning, at };
  const signature = toBase64(await crypto.subtle.sign("Ed25519", key, message(act)));
  return { ...act, algorithm: "Ed25519", public_key: publicKey, signature };
}
