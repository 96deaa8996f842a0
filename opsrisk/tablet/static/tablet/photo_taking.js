/** Taking a photo: what it shows, then the camera or a photo that was taken before. Nothing has to be typed. */

import { app } from "./context.js";
import { button, h } from "./dom.js";
import { showErrors } from "./frame.js";
import * as photos from "./photos.js";
import { isoLocal } from "./say.js";
import { chosen, group, tile } from "./tiles.js";

const KINDS = "image/jpeg,image/png,image/webp";
const CAPTIONS = ["The water", "The entry point", "The gauge", "The structure", "Something else"];
const PREVIEW_PX = 320;
const FIRST_YEAR = 2000; // a camera's clock before that was never set

/** A small picture for this device's own pages; the photo itself stays as the camera wrote it. @param {File} file */
async function previewOf(file) {
  let image;
  try {
    image = await createImageBitmap(file);
  } catch {
    throw new Error("This file cannot be read as a photo. Take a photo as JPEG, PNG or WebP.");
  }
  const scale = Math.min(1, PREVIEW_PX / Math.max(image.width, image.height));
  const canvas = h("canvas", { width: Math.max(1, Math.round(image.width * scale)), height: Math.max(1, Math.round(image.height * scale)) });
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  image.close();
  return canvas.toDataURL("image/jpeg", 0.7);
}

/** When it was taken: the file's own time if that can be, else now. @param {File} file */
function takenAt(file) {
  const own = new Date(file.lastModified);
  const now = new Date();
  return isoLocal(own.getFullYear() >= FIRST_YEAR && own <= now ? own : now);
}

/**
 * @param {{draft: string | null, operation: any, taken: (photo: import("./photos.js").Named) => Promise<void>}} given
 *   draft: the assessment in hand; null with the operation after the signature
 */
export function takingForm({ draft, operation, taken }) {
  const which = group({ id: "caption", legend: "What does the photo show?", kind: "chips", changed: () => {}, tiles: CAPTIONS.map((value, n) => tile({ name: "shows", value, label: value, checked: n === 0, kind: "chip" })) });
  const words = h("input", { id: "photo-words", type: "text", maxlength: 200, autocomplete: "off" });
  const keep = async (/** @type {any} */ input) => {
    const [file] = input.files;
    if (!file) return;
    showErrors([]);
    said.textContent = "Keeping the photo";
    try {
      await photos.checkRoom(file.size); // before it is looked at, which takes a moment
      const caption = words.value.trim() || chosen(which, "shows");
      const preview = await previewOf(file);
      const device = { id: app.device, client_version: app.version, offset_s: app.session?.offset_s ?? 0 };
      await taken(await photos.keep({ bytes: new Uint8Array(await file.arrayBuffer()), draft, operation, agency: app.agency.id, caption, taken_at: takenAt(file), device, preview }));
    } catch (error) {
      said.textContent = "";
      showErrors([{ id: "photo-acts", words: /** @type {Error} */ (error).message }]);
    } finally {
      input.value = ""; // the name of the file is nobody's business
    }
  };
  const source = (/** @type {any} */ how) => {
    const input = h("input", { type: "file", accept: KINDS, hidden: true, on: { change: () => void keep(input) }, ...how });
    return input;
  };
  const [camera, chooser] = [source({ capture: "environment", id: "photo-camera" }), source({ id: "photo-file" })];
  const said = h("p", { role: "status", class: "hint" });
  return h("section", { class: "taking" }, which, h("label", { class: "text" }, "In your words, if none of these fits", words),
    h("div", { class: "pair", id: "photo-acts" }, button("Take a photo", () => camera.click(), { class: "control big" }), button("Choose a photo", () => chooser.click(), { class: "control big" })), camera, chooser, said);
}
