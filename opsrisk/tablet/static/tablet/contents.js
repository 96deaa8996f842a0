/** Every question at a glance: what is answered, what is open, and the way to each. */

import { app } from "./context.js";
import * as drafts from "./draft.js";
import { h } from "./dom.js";
import { link, show } from "./frame.js";

export function showContents() {
  const base = `#/d/${app.draft.id}`;
  const asked = drafts.screensOf(app.screens, app.draft);
  const sections = [...new Set(asked.map((screen) => screen.section))];
  const open = asked.filter((screen) => !drafts.isDone(screen, app.draft)).length;
  const row = (/** @type {any} */ screen) => {
    const done = drafts.isDone(screen, app.draft);
    return h("li", {}, link(`${base}/${screen.id}`, [h("span", { class: "state" }, done ? "answered" : "open"), screen.title], `row ${done ? "done" : "open"}`));
  };
  show({
    title: "All questions",
    over: open ? `${open} of ${asked.length} still open` : `All ${asked.length} answered`,
    wide: true,
    body: [
      ...sections.map((section) =>
        h("section", {}, h("h2", {}, section), h("ul", { class: "rows" }, asked.filter((screen) => screen.section === section).map(row))),
      ),
      h("section", {}, h("h2", {}, "Photos"), h("ul", { class: "rows" }, h("li", {}, link(`${base}/photos`, [h("span", { class: "state" }, String((app.draft.photos ?? []).length)), "The water, the entry point, the gauge"], "row done")))),
    ],
    back: `${base}/${app.draft.at || asked[0].id}`,
    next: { label: "Check answers", act: () => (location.hash = `${base}/check`) },
  });
}
