/** Virtual time, chance from a seed, and the wait until nothing is under way: one schedule's world. */

const immediate = () => new Promise((resolve) => setImmediate(resolve));
const START = Date.UTC(2026, 5, 1, 12);

/** A small generator of numbers in [0, 1): the same seed, the same schedule. @param {number} seed */
export function chance(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

export class World {
  /** @param {number} seed */
  constructor(seed) {
    this.random = chance(seed);
    this.now = START;
    this.events = [];
    this.count = 0;
    this.busy = 0;
    this.wake = null;
    this.serverUp = true;
    this.weather = { lost: 0, late: 0, answerLost: 0, twice: 0, portal: 0, hung: 0, died: 0 };
    this.done = {};
  }

  /** Counts what happened, for the report. @param {string} name */
  note(name) {
    this.done[name] = (this.done[name] ?? 0) + 1;
  }

  /** @param {number} below */
  whole(below) {
    return Math.floor(this.random() * below);
  }

  /** @param {any[]} list */
  pick(list) {
    return list[this.whole(list.length)];
  }

  /** @param {number} share */
  happens(share) {
    return this.random() < share;
  }

  /** @param {number} ms from now @param {() => void} run */
  after(ms, run) {
    const event = { at: this.now + Math.max(0, ms), order: this.count++, run, off: false };
    this.events.push(event);
    return event;
  }

  /** Work of the machine below the page (disk, keys, server) that takes no virtual time. @param {() => Promise<any>} work */
  async under(work) {
    this.busy += 1;
    try {
      return await work();
    } finally {
      this.free();
    }
  }

  free() {
    this.busy -= 1;
    this.wake?.();
  }

  /** Until nothing moves any more at this moment. */
  async settle() {
    for (let calm = 0; calm < 4; ) {
      if (this.busy) {
        calm = 0;
        await new Promise((resolve) => (this.wake = resolve));
        this.wake = null;
      } else {
        calm += 1;
        await immediate();
      }
    }
  }

  /** Lets `ms` pass. @param {number} ms */
  async pass(ms) {
    const until = this.now + ms;
    for (;;) {
      await this.settle();
      const due = this.events.filter((event) => !event.off && event.at <= until);
      if (!due.length) break;
      const next = due.reduce((one, other) => (other.at < one.at || (other.at === one.at && other.order < one.order) ? other : one));
      this.events = this.events.filter((event) => event !== next && !event.off);
      this.now = Math.max(this.now, next.at);
      next.run();
    }
    this.now = until;
  }
}
