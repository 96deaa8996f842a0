/** Bringing in work that was saved as a sealed file, here or on another tablet. */

import { button, h } from "./dom.js";
import { show, showErrors } from "./frame.js";
import { bringIn } from "./sealed_file.js";

export function showBring() {
  const input = h("input", { type: "file", accept: ".json,application/json", id: "sealed-file", hidden: true, on: { change: () => (chosen.textContent = input.files[0] ? "A file is chosen. Give the code." : "") } });
  const chosen = h("p", { role: "status", class: "hint" });
  const code = h("input", { id: "code-field", type: "password", autocomplete: "off", spellcheck: "false", autocapitalize: "none" });
  const done = h("p", { role: "status", class: "notice", id: "brought", hidden: true });
  const bring = async () => {
    showErrors([]);
    const [file] = input.files;
    if (!file) return showErrors([{ id: "file-acts", words: "Choose the file first." }]);
    if (!code.value) return showErrors([{ id: "code", words: "Give your signing code: it opens the file." }]);
    try {
      const { brought, here } = await bringIn(await file.text(), code.value);
      done.textContent = `Brought in: ${brought}. Here already: ${here}.`;
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
