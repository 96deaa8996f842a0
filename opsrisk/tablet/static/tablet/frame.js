/** The page around every question: what is at hand on top, what comes next at the side, and status in words. */

import { button, h } from "./dom.js";

/** What the page is called, and what each place of the frame last said: read from here, since the page may show it in another language. */
const now = { title: "", said: /** @type {Record<string, string>} */ ({}) };

const place = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));

/**
 * @typedef {{label: string, act: () => void, note?: string}} Act
 * @typedef {{title: string, over?: string, body: any[], next?: Act, back?: string, more?: any[], wide?: boolean, quiet?: boolean, at?: string}} Page
 *   quiet: the same page with newer content, so the focus and the place on it stay
 *   at: the address for which a page was begun that had to wait for something; shown only if that is still the address
 */

/** A link that looks and measures like a control. @param {string} href @param {any} label @param {string} [kind] */
export const link = (href, label, kind = "plain") => h("a", { href, class: `control ${kind}` }, label);

/** @param {Page} page */
function heading(page) {
  return h("div", { class: "heading" }, page.over && h("p", { class: "over" }, page.over), h("h1", { tabindex: "-1" }, page.title));
}

/** Whether the page that is on the screen now still is, for whoever has to wait before drawing it anew or leading on from it. */
export function here() {
  const at = location.hash;
  return () => location.hash === at;
}

/** Takes the present page out of reach: it has been left, and the next one may have to wait for the database. */
export function leave() {
  place("page").inert = true;
  place("steps").inert = true;
}

/** Replaces the page and puts the focus on its heading. @param {Page} page */
export function show(page) {
  if (page.at !== undefined && page.at !== location.hash) return;
  const main = place("page");
  main.inert = false;
  place("steps").inert = false;
  main.replaceChildren(heading(page), h("div", { id: "errors" }), ...page.body.flat(Infinity).filter(Boolean));
  main.className = page.wide ? "page wide" : "page";
  place("steps").replaceChildren(
    page.back !== undefined ? link(page.back, "Back", "step back") : h("span", { class: "step empty" }),
    ...(page.more ?? []),
    page.next ? button(page.next.label, page.next.act, { class: "control step next", id: "next" }) : "",
  );
  now.title = `${page.title} · OpsRisk`;
  document.title = now.title;
  if (page.quiet) return;
  main.scrollTop = 0;
  window.scrollTo(0, 0);
  /** @type {HTMLElement} */ (main.querySelector("h1")).focus({ preventScroll: true });
}

/**
 * Says what has to be done before going on: on top with the focus, and beside each field in the same words.
 * @param {{id: string, words: string}[]} errors
 */
export function showErrors(errors) {
  for (const old of document.querySelectorAll(".error")) old.remove();
  for (const field of document.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  const box = place("errors");
  box.replaceChildren();
  if (!errors.length) return;
  document.title = `To do: ${now.title}`;
  for (const { id, words } of errors) {
    const field = document.getElementById(id);
    field?.before(h("p", { class: "error", id: `${id}-error` }, words));
    field?.setAttribute("aria-invalid", "true");
    field?.setAttribute("aria-describedby", `${id}-error`);
  }
  const summary = h(
    "div",
    { class: "summary", role: "alert", tabindex: "-1" },
    h("h2", {}, "Before you go on"),
    h("ul", {}, errors.map(({ id, words }) => h("li", {}, button(words, () => focusOn(id), { class: "control jump" })))),
  );
  box.append(summary);
  summary.focus();
  summary.scrollIntoView({ block: "start" });
}

/** @param {string} id */
function focusOn(id) {
  const field = document.getElementById(id);
  const target = field?.matches("input, textarea, button") ? field : field?.querySelector("input, textarea, button");
  /** @type {HTMLElement | null} */ (target ?? field)?.focus();
  field?.scrollIntoView({ block: "center" });
}

/** @param {string} id @param {string} words */
function say(id, words) {
  if (now.said[id] === words) return;
  now.said[id] = words;
  place(id).textContent = words;
}

/** Says something once, to whoever listens: for what the eye finds on the page by itself. @param {string} words */
export function tell(words) {
  place("told").textContent = ""; // or the same words would not be said a second time
  setTimeout(() => (place("told").textContent = words), 50);
}

/** How the work in hand is kept. @param {{state: string, words: string}} state */
export function sayKept({ state, words }) {
  place("kept").dataset.state = state;
  say("kept", words);
}

/** Where finished records are: the three words and a count. @param {string} words @param {string} state */
export function saySent(words, state) {
  place("sent").dataset.state = state;
  say("sent", words);
}

/** One notice above everything, or none. @param {any} content */
export function notice(content) {
  place("notice").replaceChildren(...(content ? [content] : []));
}
