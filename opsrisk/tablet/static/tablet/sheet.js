/** The sheet, made and printed on the device with no server: the same blocks as the server prints. */

import { briefingOf, names, voidOf } from "./briefed.js";
import { app, go, titleWords } from "./context.js";
import { button, h } from "./dom.js";
import { onDevice } from "./engine.js";
import { link, show } from "./frame.js";
import { serverSays } from "./home.js";
import { nextRevision } from "./correct.js";
import * as logbook from "./logbook.js";
import { asWritten } from "./language.js";
import { decisionMap } from "./map.js";
import * as outbox from "./outbox.js";
import { dayAndClock } from "./say.js";
import { photoList } from "./photo_rows.js";
import { picture } from "./plan_words.js";
import { toReadBacks, voidNotice } from "./readback.js";
import { LANGUAGES } from "./languages.js";
import { catalogueOf, decimalSign, spoken } from "./speaking.js";
import { shape } from "./shapes.js";
import { chosen, group, tile } from "./tiles.js";

/** Short answers and what is critical are bold, sentences are not; the server's templates do the same. @param {any} row */
const strong = (row) => row.critical || (row.label && row.value.length <= 60);

/** The few words of the page itself, in the language of the sheet that is drawn. @type {Record<string, string>} */
let words = {};

/** @param {any} row */
const line = (row) => [
  row.mark && h("span", { class: `tick ${row.mark}`, role: "img", "aria-label": words[row.mark] }),
  row.label && h("span", { class: "label" }, `${row.label}: `),
  strong(row) ? h("b", {}, row.value) : row.value,
  row.note && [" ", h("small", {}, row.note)],
];

/** @param {any} block */
const more = (block) => (block.continues ? h("a", { class: "more", href: "#" }, ` ${block.more[0]}: ${block.continues}`) : null);

/** @param {any} block */
function running(block) {
  const between = block.kind === "sum" ? " + " : block.small ? " " : "; ";
  const rows = block.rows.flatMap((/** @type {any} */ row, /** @type {number} */ i) => [i > 0 ? between : "", h("span", { class: row.critical ? "critical" : "" }, line(row))]);
  return h("section", { class: `block run ${block.small ? "small" : ""}` }, h("h2", {}, `${block.number} ${block.title}.`), " ", h("p", {}, rows, block.total && ` ${block.total}`, more(block)));
}

/** @param {any} block @param {any} map */
function body(block, map) {
  const item = (/** @type {any} */ row) => h("li", { class: `${row.critical ? "critical" : ""} ${row.mark ? "box" : ""}` }, line(row));
  switch (block.kind) {
    case "table":
      return h("table", {}, h("thead", {}, h("tr", {}, block.head.map((/** @type {string} */ cell) => h("th", { scope: "col" }, cell)))),
        h("tbody", {}, block.rows.map((/** @type {any} */ row) => h("tr", {}, row.cells.map((/** @type {string} */ cell) => h("td", {}, cell))))));
    case "prose":
      return block.rows.map((/** @type {any} */ row) => h("p", {}, row.value));
    case "map":
      // On paper the drawing that the server prints: the page's own is made for a screen, and twice as high.
      return [h("div", { class: "screen-only", translate: "yes", lang: spoken() }, decisionMap(map) ?? h("p", {}, words.no_map)), block.picture && h("div", { class: "paper-only" }, picture(block.picture)),
        h("p", { class: "map-words" }, block.rows.map((/** @type {any} */ row, /** @type {number} */ i) => [i > 0 ? "; " : "", h("span", {}, line(row))]))];
    case "drawing":
      return [h("div", { class: "drawn" }, picture(block.picture)), h("ul", { class: "beside" }, block.rows.map(item))];
    case "steps":
      return block.rows.map((/** @type {any} */ row) => h("p", {}, `${row.label}. ${row.value}`));
    default:
      return h("ul", {}, block.rows.map(item));
  }
}

/** @param {any} block @param {any} map */
function blockOf(block, map) {
  if (block.kind === "run" || block.kind === "sum") return running(block);
  return h("section", { class: `block ${block.kind}`, "data-key": block.key }, h("h2", {}, `${block.number} ${block.title}`, more(block)), body(block, map), block.total && h("p", { class: "total" }, block.total));
}

/** @param {any} sheet @param {any} map the decision's */
function paper(sheet, map) {
  const { head, verdict } = sheet;
  words = sheet.labels;
  const all = (/** @type {any[]} */ blocks) => blocks.map((block) => blockOf(block, map));
  return h(
    "div",
    { class: "paper", lang: sheet.language, translate: "no" },
    h("article", { class: "sheet" },
      h("header", { class: "head" }, h("h2", { class: "operation" }, head.operation), h("p", {}, head.place),
        h("p", {}, `${head.title}, ${head.agency}. ${head.revision}. ${head.made}. ${head.clock}.`),
        h("p", {}, h("small", {}, `${head.state}. ${words.code} `, h("b", { class: "code" }, head.code)))),
      h("section", { class: "verdict" }, shape(verdict.decision), h("p", { class: "word" }, verdict.word),
        h("p", { class: "critical" }, `${words.holds}: `, h("b", {}, verdict.until), " ", h("small", {}, verdict.because)),
        h("p", {}, `${verdict.score}; ${verdict.fired}. ${verdict.certainty}`)),
      h("div", { class: "wide" }, all(sheet.top)),
      h("div", { class: "columns" }, h("div", { class: "column" }, all(sheet.left)), h("div", { class: "column" }, all(sheet.right))),
      h("div", { class: "wide" }, all(sheet.foot))),
    h("article", { class: "back" }, all(sheet.back), h("p", { class: "end" }, sheet.end)),
  );
}

/** What the server has said of this record, in words. @param {any} entry of the outbox */
function stateOf(entry) {
  if (entry?.state === "Received") return `Received by the server ${dayAndClock(entry.receipt.received_at)}`;
  return "Printed from device, not yet received by server";
}

/** @param {any} entry */
function fate(entry) {
  if (!entry) return h("p", { class: "notice" }, "Not finished: nothing has been handed over for sending.");
  if (entry.reason) {
    return h("section", { class: "cannot" }, h("h2", {}, "The server refused this record"), h("p", {}, asWritten(entry.reason)), h("p", {}, "It stays on this device."), button("Try again", () => outbox.retry(entry.id), { class: "control big" }));
  }
  const words = entry.state === "Received" ? stateOf(entry) : `${entry.state}. It is sent as soon as there is a network.`;
  return [h("p", { class: "notice", role: "status" }, words), serverSays(entry.receipt)];
}

const PAPERS = [["letter", "US Letter"], ["a4", "A4"]];

/** The paper that lies in the printer: by the agency's habit until somebody says otherwise. */
let chosenPaper = "";
const paperOf = () => chosenPaper || (app.agency.units === "us" ? "letter" : "a4");

/** Which paper the sheet is laid out for, here and by the print program. */
function papers() {
  const size = /** @type {HTMLLinkElement} */ (document.getElementById("paper-size"));
  size.href = `/static/briefing/sheet-${paperOf()}.css`;
  const tiles = PAPERS.map(([value, label]) => tile({ name: "paper", value, label, checked: value === paperOf(), kind: "chip" }));
  const element = group({ id: "paper", legend: "Paper", kind: "chips", tiles, changed: () => {
    chosenPaper = chosen(element, "paper");
    void showSheet({ quiet: true });
  } });
  return element;
}

/** The sheet's own language: the screen's until somebody says otherwise. */
let chosenLanguage = "";
const languageOf = () => chosenLanguage || spoken();

function languages() {
  /** @type {HTMLLinkElement} */ (document.getElementById("paper-es")).media = languageOf() === "es" ? "print" : "not all";
  const tiles = Object.entries(LANGUAGES).map(([tag, { own }]) => tile({ name: "sheet-language", value: tag, label: asWritten(own), checked: tag === languageOf(), kind: "chip" }));
  const element = group({ id: "sheet-language", legend: "Language of the sheet", kind: "chips", tiles, changed: () => {
    chosenLanguage = chosen(element, "sheet-language");
    void showSheet({ quiet: true });
  } });
  return element;
}

/** What the engine is told besides the record. */
const howToSay = () => ({ paper: paperOf(), language: languageOf(), decimal: decimalSign(), catalogue: catalogueOf(languageOf()) });

const LETTERS = [
  ["Sheet", "400", "atkinson-hyperlegible-latin-400-normal.woff2"],
  ["Sheet", "700", "atkinson-hyperlegible-latin-700-normal.woff2"],
  ["Sheet Extended", "400", "atkinson-hyperlegible-latin-ext-400-normal.woff2"],
  ["Sheet Extended", "700", "atkinson-hyperlegible-latin-ext-700-normal.woff2"],
  ["Sheet Symbols", "400", "DejaVuSans.ttf"],
];
const LETTERS_MS = 3000; // longer than the tablet's own cache needs; a sheet in other letters is better than none

/**
 * The letters that the layout was reckoned with, loaded before anybody prints: in others page one would run over. The sheet's
 * style names them for print only, so a browser would begin to fetch them when the paper is on its way.
 * @type {Promise<any> | null}
 */
let letters = null;
const lettersReady = () => Promise.race([loaded(), new Promise((go) => setTimeout(go, LETTERS_MS))]);
const loaded = () => (letters ??= Promise.all(LETTERS.map(async ([family, weight, file]) => document.fonts.add(await new FontFace(family, `url(/static/fonts/${file})`, { weight }).load()))).catch(() => (letters = null)));

/** @param {{quiet?: boolean}} [how] */
export async function showSheet({ quiet = false } = {}) {
  const at = location.hash;
  const draft = app.draft;
  if (!draft.record || !draft.signatures.length) return go("sign");
  const entry = (await outbox.entries()).find((one) => one.id === draft.id);
  const given = { record: draft.record, digest: draft.digest, signatures: draft.signatures, agency: app.agency.name, state: stateOf(entry), names: names(), ...howToSay() };
  await lettersReady();
  let content;
  let briefing = null;
  const voided = await voidOf(draft.operation.id, draft.digest);
  if (voided) Object.assign(given, { void: voided });
  try {
    const found = await briefingOf(draft.operation.id, draft.digest);
    if (found) {
      const { signed: _, ...state } = found;
      briefing = state;
      Object.assign(given, { briefing });
    }
    content = paper(await onDevice("sheet", given), draft.record.decision.map);
  } catch (error) {
    content = h("p", { class: "cannot", role: "alert" }, `The sheet cannot be made on this device: ${/** @type {Error} */ (error).message}. Print it from the desk once the record has been received.`);
  }
  const watched = await logbook.watched(draft.operation.id);
  const photos = await photoList(draft.record.photos ?? [], watched?.photos);
  show({
    title: "Briefing sheet",
    over: titleWords(draft.operation),
    wide: true,
    quiet,
    at,
    body: [
      h("div", { class: "screen-only" }, fate(entry), voided && voidNotice(voided), briefing && toReadBacks(briefing, draft.operation.id), h("div", { class: "pair" }, button("Change: next revision", () => nextRevision(), { class: "control plain" }), link(`#/d/${draft.id}/correct`, "Correct a mistake"), link(`#/d/${draft.id}/sign`, "More signatures"), draft.record.plan && link(`#/d/${draft.id}/plan`, "The plan"), watched && link(`#/o/${draft.operation.id}/photos`, "Add a photo")), papers(), languages()),
      content,
      photos && h("div", { class: "screen-only" }, photos),
    ],
    back: "#/",
    next: { label: "Print", act: () => window.print() },
  });
}
