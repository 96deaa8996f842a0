/** One schedule: a seed's tablets, people, weather and mishaps, then a quiet hour, then the account. */

import { account } from "./account.mjs";
import { Device } from "./device.mjs";
import * as human from "./human.mjs";
import { Tab } from "./tab.mjs";
import { World } from "./world.mjs";

const YEAR = 365 * 86400000;
const GAPS = [50, 400, 5000, 40000, 600000, 7200000];
const KINDS = ["record", "record", "record", "edit", "edit", "kill", "fuse", "wake", "online", "weather", "weather", "disk", "clock", "expire", "colleague", "second tab", "server", "revise", "cosign", "line", "line", "photo", "photo", "protect", "upgrade", "retry"];

export class Schedule {
  /** @param {number} seed @param {any} server @param {any} county */
  constructor(seed, server, county) {
    this.world = new World(seed);
    Object.assign(this, { seed, server, county, promises: [], lines: [], photos: [], saved: new Map(), drafts: new Map(), work: new Set(), faults: [] });
    const name = seed.toString(16).padStart(12, "0");
    this.operation = { id: `00000000-0000-4000-8000-${name}`, title: "Search", site: null, place: "Weir" };
    this.devices = Array.from({ length: 1 + this.world.whole(2) }, (_, place) => new Device(this.world, `tablet ${seed}-${place}`));
  }

  async run() {
    for (const device of this.devices) {
      device.hasLocks = this.world.happens(0.7);
      device.release = this.world.happens(0.2) ? "1" : "now";
      await this.signIn(device, this.world.pick(this.county.people));
      this.open(device);
    }
    const steps = 6 + this.world.whole(9);
    for (let step = 0; step < steps; step += 1) {
      await this.world.pass(this.world.pick(GAPS));
      await this.act(this.world.pick(KINDS), this.world.pick(this.devices));
    }
    await this.quiet();
    return account(this);
  }

  async signIn(device, person) {
    device.cookies = (await this.server.ask({ kind: "sign_in", person, now: this.world.now })).cookies;
    device.person = person;
  }

  /** Work that a person began; it may never end, because its tab dies. @param {any} tab @param {Promise<any>} begun */
  begin(tab, begun) {
    begun.catch((error) => {
      if (tab.dead || /not saved|full|did not save|locked|Close it|No room for this photo/i.test(error?.message ?? "")) return;
      if (tab.release === "now") this.faults.push(`unexpected: ${error?.stack ?? error}`);
      else this.world.note(`release ${tab.release} failed`); // its files are what they are; what it leaves behind is on trial
    });
  }

  /** @param {any} device @returns {any} */
  open(device) {
    const tab = new Tab(device, this.server, device.release);
    this.begin(tab, human.start(tab, this.county.codes));
    return tab;
  }

  /** @param {any} device a tab at which somebody can work */
  at(device) {
    return device.alive().findLast((tab) => tab.person && tab.roster?.agency);
  }

  /** @param {string} kind @param {any} device */
  async act(kind, device) {
    const { world } = this;
    const tab = this.at(device);
    world.note(kind);
    if (kind === "kill") device.alive().forEach((one) => one.kill());
    if (kind === "fuse" && tab) tab.fuse = 1 + world.whole(40);
    if (kind === "weather") this.storm();
    if (kind === "disk") Object.assign(device, world.happens(0.5) ? { full: world.happens(0.5), flaky: world.happens(0.5) ? 0.3 : 0 } : { full: false, flaky: 0 });
    if (kind === "clock") device.skew = (world.random() - 0.5) * 24 * YEAR;
    if (kind === "expire") await this.server.ask({ kind: "expire", cookies: device.cookies, now: world.now });
    if (kind === "colleague") await this.signIn(device, world.pick(this.county.people));
    if (kind === "server") await this.restart();
    if (kind === "upgrade") this.upgrade(device);
    if (kind === "second tab" || !device.alive().length) this.open(device);
    if (!tab || tab.dead) return;
    if (kind === "record" || kind === "revise") this.begin(tab, this.record(tab, kind === "revise"));
    if (kind === "line" && tab.logbook) this.begin(tab, this.line(tab));
    if (kind === "photo" && tab.logbook) this.begin(tab, this.photo(tab));
    if (kind === "online" && tab.logbook) this.begin(tab, this.pass(tab));
    if (kind === "cosign") this.begin(tab, this.cosign(tab));
    if (kind === "edit" && tab.release === "now") this.begin(tab, this.edit(tab));
    if (kind === "protect") this.begin(tab, tab.vault.protectedByCode().then((/** @type {boolean} */ set) => set || tab.vault.protect(this.county.codes[tab.person])));
    if (kind === "online") tab.fire("online");
    if (kind === "wake") {
      tab.hidden = true;
      tab.fire("visibilitychange");
      tab.hidden = false;
      tab.fire("visibilitychange");
    }
    if (kind === "retry") this.begin(tab, this.retry(tab));
  }

  storm() {
    const share = (most) => (this.world.happens(0.5) ? this.world.random() * most : 0);
    this.world.weather = { lost: share(0.6), late: share(0.6), answerLost: share(0.6), twice: share(0.5), portal: share(0.3), hung: share(0.2), died: share(0.4) };
  }

  async restart() {
    this.world.serverUp = !this.world.serverUp;
    await this.server.ask({ kind: "restart" });
  }

  /** A tab stays on the files it was opened with; the next one gets the new ones. @param {any} device */
  upgrade(device) {
    device.release = "now";
    if (this.world.happens(0.5)) device.alive().forEach((tab) => tab.kill());
    this.open(device);
  }

  /** @param {any} tab @param {boolean} revise */
  async record(tab, revise) {
    const { world, county } = this;
    const mine = [...this.drafts.values()].filter((one) => one.owner === tab.person && one.device === tab.device.name && one.finished && !one.revised);
    const previous = revise ? mine.at(-1) : null;
    if (revise && !previous) return;
    const also = world.happens(0.3) ? [world.pick(county.people.filter((/** @type {string} */ one) => one !== tab.person))] : [];
    const given = previous && tab.inside.JSON.parse(previous.text);
    const pictures = (/** @type {any} */ made) => this.pictures(tab, made);
    const draft = await human.assess(tab, { template: world.pick(county.templates), codes: county.codes, previous: given, also, pictures });
    if (previous) previous.revised = true;
    const row = { id: draft.id, owner: draft.owner, device: tab.device.name, digest: draft.digest, signers: draft.signatures.length, text: JSON.stringify(draft), finished: false, kept: tab.kept === "saved" };
    this.drafts.set(draft.id, row);
    await this.finish(tab, draft, row);
  }

  /** Bytes of one to five parts; some of them no server takes. @param {any} tab */
  picture(tab) {
    const poison = this.world.happens(0.1);
    const start = Buffer.concat([Buffer.from(this.county.picture, "base64"), Buffer.from(poison ? "<script>" : "")]);
    const size = Math.max(start.length, 1024 * this.world.whole(5) + 1 + this.world.whole(1024));
    const tail = Buffer.from(Array.from({ length: size - start.length }, () => this.world.whole(256)));
    return { bytes: new Uint8Array(Buffer.concat([start, tail])), poison, owner: tab.person, device: tab.device.name };
  }

  /** None to three photos of an assessment in hand. A full disk refuses them, and the assessment goes on. @param {any} tab @param {any} draft */
  async pictures(tab, draft) {
    if (tab.release !== "now" || !tab.logbook) return;
    for (let left = this.world.whole(4); left > 0; left -= 1) {
      const { bytes, ...about } = this.picture(tab);
      try {
        const made = await human.photograph(tab, { bytes, draft: draft.id, operation: null });
        this.photos.push({ ...about, id: made.id, sha256: made.sha256, draft: draft.id });
      } catch (error) {
        if (!/not save|room|locked/i.test(error?.message ?? "")) throw error;
        this.world.note("photo refused by the device");
      }
    }
    const photos = await tab.load("photos.js");
    const [carried] = draft.photos; // from the revision before, which goes on waiting for it whatever this one does
    if (carried && this.world.happens(0.5)) {
      this.world.note("carried photo taken out");
      await photos.takeOut(draft, carried.id, new tab.inside.Date().toISOString());
    }
    draft.photos = await photos.namedFor(draft);
  }

  /** A photo after the signature: for the log of the operation that all tablets share. @param {any} tab */
  async photo(tab) {
    if (tab.release !== "now") return;
    const { bytes, ...about } = this.picture(tab);
    const operation = tab.inside.JSON.parse(JSON.stringify(this.operation));
    const made = await human.photograph(tab, { bytes, draft: null, operation });
    this.photos.push({ ...about, id: made.id, sha256: made.sha256, draft: null });
    const given = { operation, kind: "photo", content: made, at: made.taken_at, device: { id: tab.device.name, client_version: "2", offset_s: 0 } };
    const line = await tab.logbook.write(tab.inside.JSON.parse(JSON.stringify(given)));
    this.lines.push({ id: line.id, owner: line.by, device: tab.device.name });
    void tab.outbox.send();
    await this.pass(tab);
  }

  /** A reading in the log of one operation that all tablets of the schedule share. @param {any} tab */
  async line(tab) {
    const reading = { value: `${this.world.whole(3)}`, unit: "kn", how: "measured", at: this.county.templates[0].situation.assessed_at };
    const { operation } = this;
    const given = { operation, kind: "reading", content: { field: "readings.current", reading }, at: reading.at, device: { id: tab.device.name, client_version: "1", offset_s: 0 } };
    const made = await tab.logbook.write(tab.inside.JSON.parse(JSON.stringify(given)));
    this.lines.push({ id: made.id, owner: made.by, device: tab.device.name });
    await this.pass(tab);
  }

  /** One round of the watch: send what is here, hear what is new. @param {any} tab */
  async pass(tab) {
    const { SignedOut, NoServer } = tab.kit;
    try {
      await tab.logbook.send();
      await tab.logbook.follow(tab.inside.JSON.parse(JSON.stringify(this.operation)));
      await tab.logbook.hear(await tab.logbook.watched(this.operation.id));
    } catch (error) {
      if (!(error instanceof SignedOut) && !(error instanceof NoServer)) throw error;
    }
  }

  /** A signature more on a record that was finished before. @param {any} tab */
  async cosign(tab) {
    const row = [...this.drafts.values()].find((one) => one.owner === tab.person && one.device === tab.device.name && one.finished && one.signers < 2);
    const draft = row && (await tab.keeper.load(row.id));
    if (!draft || tab.release !== "now") return;
    const who = this.world.pick(this.county.people.filter((/** @type {string} */ one) => one !== tab.person));
    await human.sign(tab, draft, who, "reviewed", this.county.codes[who]);
    row.signing = draft.signatures.length;
    await tab.outbox.enqueue(draft);
    row.signers = draft.signatures.length;
  }

  /** "Finish and send". A tap that fails is seen, and the page goes on being used. */
  async finish(tab, draft, row) {
    try {
      await tab.outbox.enqueue(draft);
      row.finished = true;
      row.text = JSON.stringify(draft);
      this.promises.push(row);
    } catch (error) {
      this.world.note("finish failed");
      tab.keeper.keep(draft);
      await tab.keeper.flush();
      throw error;
    }
  }

  /** @param {any} tab */
  async edit(tab) {
    const drafts = await tab.load("draft.js");
    const draft = drafts.newDraft({ owner: tab.person, agency: tab.roster.agency.id, now: new tab.inside.Date().toISOString() });
    this.saved.set(draft.id, { owner: draft.owner, words: -1, device: tab.device });
    for (let turn = 0; turn < 3; turn += 1) {
      this.saved.get(draft.id).last = turn;
      if (await human.edit(tab, draft, `turn ${turn}`)) this.saved.get(draft.id).words = turn;
    }
  }

  /** @param {any} tab */
  async retry(tab) {
    for (const entry of await tab.outbox.entries()) if (entry.reason) await tab.outbox.retry(entry.id);
    if (!tab.logbook || tab.release !== "now") return;
    const [photos, sending] = [await tab.load("photos.js"), await tab.load("photo_sending.js")];
    for (const { row, content } of await photos.all()) if (content.reason) await sending.retry(row.id);
  }

  /** The storm is over: everybody signs in again on every tablet, opens the page and waits. */
  async quiet() {
    const { world } = this;
    world.weather = { lost: 0, late: 0, answerLost: 0, twice: 0, portal: 0, hung: 0, died: 0 };
    world.serverUp = true;
    await world.pass(400000);
    for (const device of this.devices) Object.assign(device, { full: false, flaky: 0, release: "now", hasLocks: true });
    for (const device of this.devices) {
      for (const person of await this.workedAt(device)) {
        device.alive().forEach((tab) => tab.kill());
        await this.signIn(device, person);
        const tab = this.open(device);
        await world.pass(700000);
        if (tab.logbook) this.begin(tab, this.pass(tab));
        await world.pass(1000);
        if (this.at(device) === tab) {
          this.begin(tab, this.look(tab));
          await world.pass(1000);
        } else {
          this.faults.push(`${device.name}: the page does not open for ${person}`);
        }
      }
    }
  }

  /** Everybody who has anything on this tablet's disk. @param {any} device */
  async workedAt(device) {
    const rows = (await Promise.all(["outbox", "drafts", "log", "photos"].map((name) => device.rows(name)))).flat();
    return this.county.people.filter((/** @type {string} */ person) => rows.some((row) => row.owner === person));
  }

  /** Each photo of the person, with how many of its parts the tablet still holds. @param {any} tab */
  async lookAtPhotos(tab) {
    const chunks = await tab.device.rows("chunks");
    const rows = await (await tab.load("photos.js")).all();
    const held = (/** @type {string} */ id) => chunks.filter((/** @type {any} */ one) => one.id.startsWith(`${id} `)).length;
    const found = rows.map((/** @type {any} */ { row, content }) => ({ id: row.id, owner: tab.person, state: row.state, reason: content.reason, parts: content.parts.length, held: held(row.id) }));
    this.seenPhotos = [...(this.seenPhotos ?? []), ...found];
  }

  /** What the person finds on the tablet in the end. @param {any} tab */
  async look(tab) {
    const [drafts, entries] = await Promise.all([tab.keeper.drafts(), tab.outbox.entries()]);
    if (tab.logbook) this.logs = [...(this.logs ?? []), { owner: tab.person, device: tab.device.name, ids: (await tab.logbook.lines(this.operation.id)).map((/** @type {any} */ one) => one.line.id) }];
    if (tab.logbook) await this.lookAtPhotos(tab);
    for (const draft of drafts) this.saved.has(draft.id) && (this.saved.get(draft.id).found = draft.brief.task);
    this.seen = [...(this.seen ?? []), ...drafts.map((one) => ({ id: one.id, status: one.status, owner: tab.person })), ...entries.map((one) => ({ id: one.id, state: one.state, entry: true, reason: one.reason, receipt: one.receipt, owner: tab.person }))];
  }
}
