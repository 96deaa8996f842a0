/**
 * What cannot be taken back takes two taps in two places: the first names the act, the second its effect. The second
 * cannot follow by a slip of the same finger, and any touch elsewhere meanwhile takes it away: rain never touches once. Nor
 * does the first count just after a touch on nothing.
 */

import { button, h } from "./dom.js";
import { showErrors } from "./frame.js";

const APART_MS = 500;
const CONTROLS = "button, a[href], input, label, textarea, select, summary";

/** When something last touched the glass where there is nothing to touch. */
let strayed = -APART_MS;
document.addEventListener("pointerup", ({ target }) => {
  if (!(target instanceof Element && target.closest(CONTROLS))) strayed = performance.now();
}, true);

/**
 * The place where the second tap appears, above what it is about.
 * @returns {{element: any, ask: (given: {id: string, title?: string, words?: any, label: any, act: () => any}) => void, away: () => void}}
 */
export function deliberate() {
  const said = h("div", { role: "status" }); // stands there before it speaks, or some would not hear it
  const box = h("div", {});
  const element = h("div", {}, said, box);
  /** @param {string} words */
  const say = (words) => said.replaceChildren(words ? h("p", { class: "notice" }, words) : "");
  const away = () => {
    document.removeEventListener("pointerup", stray, true);
    say("");
    box.replaceChildren();
  };
  /** A finger that only scrolls ends in a cancelled touch, not here. @param {PointerEvent} event */
  function stray(event) {
    if (!element.isConnected) document.removeEventListener("pointerup", stray, true);
    else if (!element.contains(/** @type {Node} */ (event.target))) away();
  }
  /** @param {{id: string, title?: string, words?: any, label: any, act: () => any}} given */
  function ask({ id, title, words, label, act }) {
    away();
    if (performance.now() - strayed < APART_MS) {
      say("Something else touched the screen. Tap once more.");
      return said.scrollIntoView({ block: "center" });
    }
    const yes = button(label, () => {
      yes.disabled = true; // a second tap of a nervous hand does nothing twice
      return done(act);
    }, { class: "control big act", id, disabled: true });
    setTimeout(() => (yes.disabled = false), APART_MS);
    const asked = h("section", { class: "confirm", tabindex: "-1", role: "group", "aria-label": title ?? "Confirm" }, title && h("h2", {}, title), words && h("p", {}, words), yes, button("Not yet", away, { class: "control plain" }));
    box.replaceChildren(asked);
    document.addEventListener("pointerup", stray, true);
    asked.scrollIntoView({ block: "center" });
    asked.focus({ preventScroll: true });
    return undefined;
  }
  /** What fails says so, and can be tried again from the first tap. @param {() => any} act */
  async function done(act) {
    try {
      await act();
    } catch (error) {
      away();
      showErrors([{ id: "next", words: /** @type {Error} */ (error).message }]);
    }
  }
  return { element, ask, away };
}
