/** The service worker, and when a new version of this page may take over: never under an open draft. */

import { app } from "./context.js";
import { button, h } from "./dom.js";
import { notice } from "./frame.js";

/** @param {ServiceWorker} waiting */
function offer(waiting) {
  const tell = () => {
    const busy = location.hash.startsWith("#/d/");
    notice(
      busy
        ? h("p", {}, "A newer version is here. It starts when no assessment is open.")
        : h("p", {}, "A newer version is here. ", button("Start it", () => waiting.postMessage("take over"), { class: "control plain" })),
    );
  };
  window.addEventListener("hashchange", tell);
  tell();
}

/** @param {ServiceWorkerRegistration} registration */
function watch(registration) {
  if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const coming = registration.installing;
    coming?.addEventListener("statechange", () => {
      if (coming.state === "installed" && navigator.serviceWorker.controller) offer(coming);
    });
  });
}

export async function register() {
  if (!("serviceWorker" in navigator)) return;
  // Had there been no controller, this is the first visit: nothing to reload.
  const had = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (had && !app.draft) location.reload();
  });
  try {
    watch(await navigator.serviceWorker.register("/tablet/sw.js", { scope: "/tablet/" }));
  } catch (error) {
    console.warn("No service worker, so no start without a network:", error);
  }
}
