/** One tab: the tablet's own modules, unaltered, in a realm of their own that can be killed at any step. */

import { readFileSync } from "node:fs";
import { join } from "node:path";
import vm from "node:vm";

import { request } from "./network.mjs";

const ROOT = join(import.meta.dirname, "../../../..");
const RELEASES = { 1: join(ROOT, "fixtures/clients/1"), now: join(ROOT, "opsrisk/tablet/static/tablet") };
// With `--client 1` a former release, or the modules of a folder, are on trial in the present one's place, to show that the harness has teeth.
if (process.argv[4]) RELEASES.now = RELEASES[process.argv[4]] ?? process.argv[4];
const scripts = new Map();

/** @param {string} path */
function source(path) {
  if (!scripts.has(path)) scripts.set(path, readFileSync(path, "utf8"));
  return scripts.get(path);
}

export class Tab {
  /** @param {any} device @param {any} server @param {string} release */
  constructor(device, server, release) {
    Object.assign(this, { device, server, release, world: device.world, dead: false, fuse: Infinity, listeners: {}, databases: [], open: new Set(), drafts: [], hidden: false });
    this.modules = new Map();
    this.inside = this.realm();
    device.tabs.push(this);
  }

  /** Every step below the page burns the fuse; at its end the tab dies, whatever was in hand. */
  burn() {
    this.fuse -= 1;
    if (this.fuse <= 0) this.kill();
  }

  kill() {
    if (this.dead) return;
    this.dead = true;
    this.world.note("tab killed");
    for (const transaction of this.open) {
      // What was not flushed is gone or not: the disk decides.
      if (this.world.happens(0.5)) this.device.breakOff(transaction);
    }
    for (const db of this.databases) db.close();
  }

  /** A promise that never settles once the tab is dead. @param {() => Promise<any>} work */
  async step(work) {
    if (this.dead) return new Promise(() => {});
    this.burn();
    try {
      const found = await this.world.under(work);
      return this.dead ? await new Promise(() => {}) : found;
    } catch (error) {
      if (this.dead) return new Promise(() => {});
      throw error;
    }
  }

  /** @param {string} name */
  fire(name) {
    for (const heard of this.listeners[name] ?? []) heard({});
  }

  timer(run, ms) {
    return this.world.after(ms ?? 0, () => !this.dead && run());
  }

  keys() {
    const { subtle } = globalThis.crypto;
    const wrapped = Object.fromEntries(
      ["generateKey", "exportKey", "importKey", "deriveKey", "deriveBits", "encrypt", "decrypt", "wrapKey", "unwrapKey", "digest", "sign"].map((name) => [
        name,
        // What it costs to guess a code is no part of sending.
        (how, ...given) => this.step(() => subtle[name](how?.iterations ? { ...how, iterations: 1 } : how, ...given)),
      ]),
    );
    const uuid = () => [8, 4, 4, 4, 12].map((length, place) => {
      const hex = Array.from({ length }, () => this.world.whole(16).toString(16)).join("");
      return place === 2 ? `4${hex.slice(1)}` : place === 3 ? `8${hex.slice(1)}` : hex;
    }).join("-");
    return { subtle: wrapped, randomUUID: uuid, getRandomValues: (given) => globalThis.crypto.getRandomValues(given) };
  }

  realm() {
    const listen = (name, heard) => (this.listeners[name] ??= []).push(heard);
    const tab = this;
    const page = {
      TextEncoder, TextDecoder, DOMException, atob, btoa, URL,
      console: { error: () => {}, warn: () => {}, log: () => {} },
      indexedDB: this.device.disk(this),
      IDBKeyRange: this.device.range,
      crypto: this.keys(),
      navigator: { storage: undefined, onLine: true },
      document: { addEventListener: listen, documentElement: { dataset: {} }, get visibilityState() { return tab.hidden ? "hidden" : "visible"; } },
      addEventListener: listen,
      setTimeout: (run, ms) => this.timer(run, ms),
      clearTimeout: (event) => event && (event.off = true),
      AbortSignal: { timeout: (ms) => ({ onAbort: (act) => this.timer(act, ms) }) },
      fetch: (url, options) => request(this, this.server, url, options),
    };
    page.window = page;
    vm.createContext(page);
    vm.runInContext("globalThis.PlainDate = Date", page);
    page.clockNow = () => this.device.clock();
    vm.runInContext(
      "globalThis.Date = class extends PlainDate { constructor(...given) { given.length ? super(...given) : super(clockNow()); } static now() { return clockNow(); } };",
      page,
    );
    page.structuredClone = (given) => page.JSON.parse(JSON.stringify(given)); // of this realm, as a page's own is
    return Object.assign(page, { JSON: vm.runInContext("JSON", page), TypeError: vm.runInContext("TypeError", page) });
  }

  /** One after the other: a module that is still being linked for another cannot run. @param {string} name @returns {Promise<any>} what it exports */
  load(name) {
    const before = this.loading ?? Promise.resolve();
    this.loading = before.catch(() => {}).then(() => this.bring(name));
    return this.loading;
  }

  /** @param {string} name */
  async bring(name) {
    const module = this.link(join(RELEASES[this.release], name));
    if (module.status === "unlinked") await module.link((wanted) => this.link(join(RELEASES[this.release], wanted)));
    if (module.status === "linked") await module.evaluate();
    return module.namespace;
  }

  /** @param {string} path */
  link(path) {
    if (!this.modules.has(path)) this.modules.set(path, new vm.SourceTextModule(source(path), { context: this.inside, identifier: path }));
    return this.modules.get(path);
  }
}
