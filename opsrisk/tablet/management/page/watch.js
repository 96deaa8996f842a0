/** Runs in the tablet's page while it is timed: begins an assessment as soon as it can, and notes when and how fast. */

window.timed = {
  start: 0,
  question: 0,
  slow: /** @type {[number, number][]} */ ([]), // interaction, milliseconds from touch to the next picture

  /** The middle of the first key, or of the first tile of each group. */
  targets() {
    const key = document.querySelector("main .keypad .key");
    const all = key ? [key] : [...document.querySelectorAll("main fieldset")].map((one) => one.querySelector("label"));
    return all.filter(Boolean).map((one) => {
      /** @type {Element} */ (one).scrollIntoView({ block: "center" });
      const box = /** @type {Element} */ (one).getBoundingClientRect();
      return [box.left + box.width / 2, box.top + box.height / 2];
    });
  },

  /** On to the question after the present one, whatever it still asks for. */
  async onward() {
    const { app } = await import("/static/tablet/context.js");
    const { screensOf } = await import("/static/tablet/draft.js");
    const asked = screensOf(app.screens, app.draft);
    const place = asked.findIndex((/** @type {any} */ one) => location.hash.endsWith(`/${one.id}`));
    location.hash = `#/d/${app.draft.id}/${asked[place + 1]?.id ?? "check"}`;
  },
};

new PerformanceObserver((list) => {
  for (const one of /** @type {any[]} */ (list.getEntries())) if (one.interactionId) window.timed.slow.push([one.interactionId, one.duration]);
}).observe({ type: "event", durationThreshold: 16, buffered: true });

const looking = setInterval(() => {
  const begin = document.getElementById("new");
  if (!window.timed.start && begin) {
    window.timed.start = performance.now();
    begin.click();
  }
  if (!location.hash.startsWith("#/d/") || !document.querySelector("main input")) return;
  window.timed.question = performance.now();
  clearInterval(looking);
}, 5);
