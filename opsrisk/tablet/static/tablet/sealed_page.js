/** Bringing in work that was saved as a sealed file, here or on another tablet. */

import { app } from "./context.js";
import { button, h } from "./dom.js";
import { show, showErrors } from "./frame.js";
import { bringIn } from "./sealed_file.js";

/** @param {Record<import("./sealed_file.js").Outcome, number>} found */
function inWords({ brought, here, newer, older, without }) {
  return [
    `Brought in: ${brought}. Here already: ${here}.`,
    newer && `Newer in the file, now in hand: ${newer}. What was here and not signed is under "Set aside".`,
    older && `Older in the file, or signed here otherwise: ${older}. What is here stays.`,
    without && `Photos without room: ${without}. Send first or free some space, then bring the file in again.`,
  ].filter((words) => typeof words === "string");
}

export function showBring() {
  const input = h("input", { type: "file", accept: ".json,application/json", id: "sealed-file", hidden: true, on: { change: () => (chosen.textContent = input.files[0] ? "A file is chosen. Give the code." : "") } });
  const chosen = h("p", { role: "status", class: "hint" });
  const code = h("input", { id: "code-field", type: "password", autocomplete: "off", spellcheck: "false", autocapitalize: "none" });
  const done = h("div", { role: "status", class: "notice", id: "brought", hidden: true });
  const bring = async () => {
    showErrors([]);
    const [file] = input.files;
    if (!file) return showErrors([{ id: "file-acts", words: "Choose the file first." }]);
    if (!code.value) return showErrors([{ id: "code", words: "Give your signing code: it opens the file." }]);
    try {
      app.draft = null; // or what is in hand would be written over what is brought in
      const found = await bringIn(await file.text(), code.value);
      done.replaceChildren(...inWords(found).map((words) => h("p", {}, words)));
      done.hidden = false;
      code.value = "";
    } catch (error) {
      showErrors([{ id: "code", words: /** @type {Error} */ (error).message }]);
    }
    return undefined;
  };
  show({
    title: "Bring in a sealed file",
    wide: true,
    body: [
      h("p", {}, "The file holds work that had not been sent. It opens with the signing code under which it was saved, for its owner alone. Bringing it in twice doubles nothing."),
      h("div", { class: "pair", id: "file-acts" }, button("Choose the file", () => input.click(), { class: "control big" })),
      input,
      chosen,
      h("div", { class: "code", id: "code" }, h("label", { for: "code-field" }, "Your signing code"), code),
      done,
    ],
    back: "#/",
    next: { label: "Bring in", act: () => void bring() },
  });
}
