/** Starts the ceremony between page and key, and says in words why a passkey did not work. */

document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  const place = document.getElementById("passkey-error");
  if (place) place.textContent = `The passkey did not work (${event.detail.exception?.name ?? "no reason given"}). Nothing was changed. Try again, or use another way.`;
});

for (const { dataset } of document.querySelectorAll("[data-passkey]")) {
  const { passkey, given, ...ids } = dataset;
  window.allauth.webauthn.forms[passkey]({ ids, data: given ? JSON.parse(given) : undefined });
}
