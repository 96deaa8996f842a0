/** One tablet: its disk (IndexedDB in memory), its cookies, its clock. It outlives the tabs that are opened on it. */

import { IDBFactory, IDBKeyRange } from "fake-indexeddb";

export class Device {
  /** @param {import("./world.mjs").World} world @param {string} name */
  constructor(world, name) {
    this.world = world;
    this.name = name;
    this.factory = new IDBFactory();
    this.range = IDBKeyRange;
    this.cookies = {};
    this.skew = 0; // ms that this device's clock is ahead
    this.full = false; // the disk refuses every write
    this.flaky = 0; // share of writes that fail for no stated reason
    this.hasLocks = true;
    this.tabs = [];
  }

  clock() {
    return this.world.now + this.skew;
  }

  alive() {
    return this.tabs.filter((tab) => !tab.dead);
  }

  /** The disk as one tab sees it: same rows, but its callbacks die with the tab, and writes may fail. @param {any} tab */
  disk(tab) {
    const { world } = this;
    return {
      open: (name, version) => {
        const request = this.factory.open(name, version);
        world.busy += 1;
        const ended = () => world.free();
        request.addEventListener("success", () => {
          this.watch(request.result, tab);
          ended();
        });
        request.addEventListener("error", ended);
        request.addEventListener("blocked", () => world.note("upgrade blocked"));
        return request;
      },
    };
  }

  /** @param {any} db @param {any} tab */
  watch(db, tab) {
    const { world } = this;
    const plain = db.transaction.bind(db);
    tab.databases.push(db);
    db.transaction = (names, mode, how) => {
      tab.burn();
      const transaction = plain(names, mode, how);
      world.busy += 1;
      let over = false;
      const end = () => {
        if (!over) world.free();
        over = true;
        tab.open.delete(transaction);
      };
      tab.open.add(transaction);
      transaction.addEventListener("complete", end);
      transaction.addEventListener("abort", end);
      for (const name of ["oncomplete", "onabort"]) this.mute(transaction, name, tab);
      if (mode === "readwrite") this.fail(transaction);
      return transaction;
    };
  }

  /** A dead tab hears nothing. @param {any} transaction @param {string} name @param {any} tab */
  mute(transaction, name, tab) {
    let handler = null;
    transaction.addEventListener(name.slice(2), (event) => {
      tab.burn();
      if (!tab.dead) handler?.call(transaction, event);
    });
    Object.defineProperty(transaction, name, { set: (given) => (handler = given), get: () => handler });
  }

  /** Writes fail in three ways: at once, as a request, or with the transaction and no reason. @param {any} transaction of a write */
  fail(transaction) {
    const { world } = this;
    if (!this.full && !world.happens(this.flaky)) return;
    const way = this.full ? "disk full" : world.pick(["write failed without a reason", "write request failed"]);
    world.note(way);
    let failed = false;
    const put = {
      "disk full": () => {
        throw new DOMException("no room", "QuotaExceededError");
      },
      "write failed without a reason": () => {
        if (!failed) queueMicrotask(() => this.breakOff(transaction)); // its error stays null: browsers have done that
        failed = true;
        return {};
      },
      "write request failed": (/** @type {any} */ row, /** @type {any} */ store) => store.add(row), // fails where the row is there already
    }[way];
    const plain = transaction.objectStore.bind(transaction);
    transaction.objectStore = (/** @type {string} */ name) => {
      const store = plain(name);
      store.put = (/** @type {any} */ row) => put(row, store);
      return store;
    };
  }

  /** @param {any} transaction */
  breakOff(transaction) {
    try {
      transaction.abort();
    } catch {
      // It had ended already: the tab was killed in the same moment.
    }
  }

  /** Every row of a store, read past all faults. @param {string} name @returns {Promise<any[]>} */
  async rows(name) {
    const db = await new Promise((resolve, reject) => {
      const request = this.factory.open("opsrisk-tablet");
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    if (!db.objectStoreNames.contains(name)) {
      db.close(); // or it would stand in the way of the upgrade
      return [];
    }
    const request = db.transaction([name]).objectStore(name).getAll();
    const rows = await new Promise((resolve) => (request.onsuccess = () => resolve(request.result)));
    db.close();
    return rows;
  }
}
