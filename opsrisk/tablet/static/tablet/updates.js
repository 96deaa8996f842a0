/** The service worker, and when a new version of this page may take over: never under an open draft. */

import { button, h } from "./dom.js";
import { notice } from "./frame.js";

/** The person has asked for it: only then is the page loaded anew. @param {ServiceWorker} waiting */
function takeOver(waiting) {
  navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
  waiting.postMessage("take over");
}

/** @param {ServiceWorker} waiting */
function offer(waiting) {
  const tell = () => {
    const busy = location.hash.startsWith("#/d/");
    notice(
      busy
        ? h("p", {}, "A newer version is here. It starts when no assessment is open.")
        : h("p", {}, "A newer version is here. ", button("Start it", () => takeOver(waiting), { class: "control plain" })),
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
  try {
    watch(await navigator.serviceWorker.register("/tablet/sw.js", { scope: "/tablet/" }));
  } catch (error) {
    console.warn("No service worker, so no start without a network:", error);
  }
}
