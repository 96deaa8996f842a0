/** Makes the signing key from the code, on this page, and sends its public half alone. */

import { publicKeyOf } from "./tablet/signing.js";

const LEAST = 8;
const form = /** @type {HTMLFormElement} */ (document.getElementById("signing"));
const code = /** @type {HTMLInputElement} */ (document.getElementById("code"));
const again = /** @type {HTMLInputElement} */ (document.getElementById("again"));
const problem = /** @type {HTMLElement} */ (document.getElementById("problem"));

function wrong() {
  if (code.value.length < LEAST) return `The code has ${code.value.length} characters; it needs at least ${LEAST}.`;
  if (code.value !== again.value) return "The two codes differ. Type them again.";
  return "";
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  problem.textContent = wrong();
  if (problem.textContent) return;
  const salt = btoa(String.fromCharCode(...crypto.getRandomValues(new Uint8Array(16))));
  const iterations = Number(form.iterations.value);
  try {
    form.public_key.value = await publicKeyOf(code.value, { salt, iterations });
  } catch (error) {
    problem.textContent = /** @type {Error} */ (error).message;
    return;
  }
  form.salt.value = salt;
  form.submit();
});
