/**
 * Shows the page in the language that was chosen: whatever text or accessible name gets on to it is said anew, before it is
 * painted. Pages are written in English and know nothing of this. Elements marked `translate="no"` hold words of a
 * person, names, codes and citations, and are left alone; what a catalogue lacks stays English and is marked as that.
 */

import { Language } from "./language.js";

const ATTRIBUTES = ["aria-label", "title", "placeholder", "alt"];

/** @param {Element | null} element */
const leftAlone = (element) => !element || Boolean(element.closest("script, style, noscript, textarea")) || element.closest("[translate]")?.getAttribute("translate") === "no";

/** @type {{catalogues: Record<string, Record<string, string>>, language: Language, observer: MutationObserver | null}} */
const state = { catalogues: {}, language: new Language(null), observer: null };

/** What each text and attribute said in English, and what it says now. @type {WeakMap<Node, Record<string, {from: string, to: string}>>} */
const said = new WeakMap();

/** Texts that were shown although the catalogue lacks them. @type {Set<string>} */
const missed = new Set();

/** @param {Record<string, Record<string, string>>} catalogues by language */
export const learn = (catalogues) => void (state.catalogues = catalogues);

/** The language of the page. */
export const spoken = () => state.language.tag;

/** The catalogue that a sheet in `tag` is said from; null for English. @param {string} tag */
export const catalogueOf = (tag) => state.catalogues[tag] ?? null;

/** The agency's decimal sign. */
export const decimalSign = () => state.language.decimal;

/** A number in a field of entry, with the agency's decimal sign. @param {string} text */
export const shownNumber = (text) => state.language.number(text);

/** Which texts the catalogue lacks; for tests. */
export const missing = () => [...missed];

/** Text that stands in a record in English, of which a person may have written some: said if all of it is known, else as it is. @param {string} text */
export function perhaps(text) {
  const found = state.language.find(text);
  return found === null ? `\u2068${text}\u2069` : text;
}

/** @param {Node} node @param {string} name @param {string} now @returns {string | null} what to show, null where it is shown already */
function next(node, name, now) {
  const known = said.get(node) ?? {};
  const from = known[name] && known[name].to === now ? known[name].from : now;
  const to = state.language.say(from);
  said.set(node, { ...known, [name]: { from, to } });
  return to === now ? null : to;
}

/** Marks the element around an English text on a page that is not English. @param {Text} node @param {string} from */
function mark(node, from) {
  const parent = node.parentElement;
  if (!parent || parent.localName === "title") return;
  const foreign = state.language.tag !== "en" && state.language.find(from) === null;
  if (foreign && parent.childNodes.length > 1 && parent.namespaceURI === document.documentElement.namespaceURI) {
    const span = document.createElement("span");
    span.lang = "en";
    node.replaceWith(span);
    span.append(node);
  } else if (foreign) parent.setAttribute("lang", "en");
  else if (parent.getAttribute("lang") === "en") parent.removeAttribute("lang");
}

/** @param {Text} node */
function sayText(node) {
  if (!node.data.trim() || leftAlone(node.parentElement)) return;
  const to = next(node, "text", node.data);
  if (to !== null) node.data = to;
  mark(node, said.get(node)?.text.from ?? node.data);
}

/** @param {Element} element */
function sayAttributes(element) {
  if (leftAlone(element)) return;
  for (const name of ATTRIBUTES) {
    const now = element.getAttribute(name);
    const to = now ? next(element, name, now) : null;
    if (to !== null) element.setAttribute(name, to);
  }
}

/** @param {Node} root */
function sayAll(root) {
  if (root.nodeType === Node.TEXT_NODE) return sayText(/** @type {Text} */ (root));
  if (root.nodeType !== Node.ELEMENT_NODE) return undefined;
  const texts = [];
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT);
  for (let node = /** @type {Node | null} */ (root); node; node = walker.nextNode()) {
    if (node.nodeType === Node.TEXT_NODE) texts.push(/** @type {Text} */ (node));
    else sayAttributes(/** @type {Element} */ (node));
  }
  return texts.forEach(sayText);
}

/** @param {MutationRecord[]} changes */
function hear(changes) {
  for (const { type, target, addedNodes, attributeName } of changes) {
    if (type === "childList") addedNodes.forEach(sayAll);
    else if (type === "characterData") sayText(/** @type {Text} */ (target));
    else if (attributeName) sayAttributes(/** @type {Element} */ (target));
  }
}

/** From here on the page is in this language, with this decimal sign. @param {string} tag @param {string} decimal */
export function speak(tag, decimal) {
  const texts = state.catalogues[tag] ?? null;
  state.language = new Language(texts, { tag: texts ? tag : "en", decimal, missed: (text) => void missed.add(text) });
  document.documentElement.lang = state.language.tag;
  state.observer ??= new MutationObserver(hear);
  state.observer.disconnect();
  sayAll(document.documentElement);
  state.observer.observe(document.documentElement, { subtree: true, childList: true, characterData: true, attributes: true, attributeFilter: ATTRIBUTES });
}
