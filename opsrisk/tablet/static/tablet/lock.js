/** Locking, unlocking and signing out. Work that has not been sent is never thrown away, and never left open. */

import { app, personOf } from "./context.js";
import { button, h } from "./dom.js";
import { here, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import * as logbook from "./logbook.js";
import * as outbox from "./outbox.js";
import * as photos from "./photos.js";
import { offerSealed } from "./sealed_file.js";
import { codeFits } from "./signing.js";
import * as vault from "./vault.js";
import * as watching from "./watching.js";

/** @param {string} label */
function codeField(label) {
  const field = h("input", { id: "code-field", type: "password", autocomplete: "off", spellcheck: "false", autocapitalize: "none" });
  return { field, element: h("div", { class: "code", id: "code" }, h("label", { for: "code-field" }, label), field) };
}

/** Ends the session at the server, if it can be reached. */
async function signOut() {
  try {
    await fetch("/accounts/logout/", { method: "POST", headers: { "X-CSRFToken": app.session?.csrf ?? "" } });
  } catch {
    // No network: the lock on this device is what counts, and the session ends by itself.
  }
}

/** Whether `code` opens the work again: checked before anything is closed. @param {string} code */
async function opens(code) {
  if (await vault.protectedByCode()) return vault.fits(code);
  const me = personOf(app.person.id);
  if (!me?.signing?.public_key) throw new Error("You have no signing code yet. It is set at the desk.");
  if (!(await codeFits(code, me))) return false;
  await keeper.flush();
  await vault.protect(code);
  return true;
}

export async function showLock() {
  const at = location.hash;
  const still = here();
  const redraw = async () => (still() ? showLock() : undefined);
  const set = await vault.protectedByCode();
  const waiting = (await outbox.unsent()).mine;
  const [pictures, lines] = [(await photos.unsent()).mine, await logbook.unsent()];
  const drafts = (await keeper.drafts()).filter((draft) => draft.status !== "finished").length;
  const code = codeField("Your signing code");

  async function withCode(/** @type {() => Promise<void>} */ then) {
    try {
      if (!(await opens(code.field.value))) throw new Error("That is not your signing code. Type it again; small and large letters differ.");
      return await then();
    } catch (error) {
      return showErrors([{ id: "code", words: /** @type {Error} */ (error).message }]);
    }
  }
  async function lockNow() {
    await keeper.flush();
    await watching.end();
    await vault.lock();
    await signOut();
    history.replaceState(null, "", "#/"); // no page may be drawn between the lock and the reload
    location.reload();
  }
  async function saveFile() {
    saved.textContent = "Sealing";
    const name = await offerSealed(code.field.value).catch((error) => {
      saved.textContent = "";
      throw error;
    });
    saved.textContent = `Handed to the browser as ${name}: look whether it is there. Only your signing code opens it: bring it in on a tablet under "This tablet". What it holds stays here too.`;
  }
  const saved = h("p", { role: "status", class: "hint", id: "saved-file" });
  const unsent = waiting + pictures + lines + drafts;
  show({
    title: set ? "Lock this tablet" : "Set the lock",
    wide: true,
    at,
    body: [
      h("p", {}, `On this tablet: ${drafts} in hand, ${waiting} finished and not sent. Photos not sent: ${pictures}. Log lines not sent: ${lines}. Locking keeps all of it, sealed. Only your signing code opens it again.`),
      unsent > 0 && h("p", {}, "Choose what becomes of it: send it, save it as a sealed file to bring in on another tablet, or keep it here, locked. Nothing is thrown away."),
      waiting + pictures + lines > 0 && h("div", { class: "pair" }, button("Send first", () => outbox.send().then(redraw), { class: "control big" })),
      code.element,
      h("div", { class: "pair" },
        !set && button("Set the lock", () => withCode(redraw), { class: "control big", id: "protect" }),
        unsent > 0 && button("Save a sealed file", () => withCode(saveFile), { class: "control big", id: "save-file" }),
        button(unsent > 0 ? "Keep it here: lock and sign out" : "Lock and sign out", () => withCode(lockNow), { class: "control big", id: "lock" })),
      saved,
    ],
    back: "#/",
  });
}

/** A tablet whose work is sealed: which person, and the code. @param {{owner: string, opened: () => void}} given */
export function showUnlock({ owner, opened }) {
  const code = codeField("Signing code");
  async function open() {
    try {
      await vault.unlock(owner, code.field.value);
      opened();
    } catch (error) {
      showErrors([{ id: "code", words: /** @type {Error} */ (error).message }]);
    }
  }
  show({
    title: "This tablet is locked",
    body: [h("p", {}, "The work on it is sealed. The signing code of the person who locked it opens it, with or without a network."), code.element],
    next: { label: "Unlock", act: open },
  });
}
