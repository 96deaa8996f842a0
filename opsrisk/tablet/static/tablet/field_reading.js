/** A reading: a number, how it was had, when, and how far off it may be. */

import { button, h } from "./dom.js";
import { numberField } from "./field_number.js";
import { parseNumber } from "./numbers.js";
import { clock, isoLocal } from "./say.js";
import { shownNumber } from "./speaking.js";
import { chosen, group, idOf, tile } from "./tiles.js";

const HOW = [
  ["measured", "Measured"],
  ["estimated", "Estimated"],
  ["reported", "Reported"],
  ["forecast", "Forecast"],
];
const MINUTES_AGO = ["0", "10", "30", "60"];

/** @param {any} question @param {any} draft @param {(raw: any) => void} touch */
function asides(question, draft, touch) {
  const id = idOf(question.field);
  const before = draft.typing[question.field] ?? draft.answers[question.field];
  const kept = before && before !== "unknown" ? before : {};

  return (/** @type {any} */ state) => {
    state.how = kept.how ?? "estimated"; // the wider spread, until somebody says that it was measured
    state.ago = kept.ago ?? (kept.at ? "kept" : "0");
    state.at = kept.at;
    state.low = kept.low ?? "";
    state.high = kept.high ?? "";
    state.window = kept.window ?? null;
    const unit = () => question.units.find((/** @type {any} */ one) => one.unit === state.unit);

    const how = group({
      id: `${id}-how`,
      legend: "How do you know?",
      kind: "chips",
      tiles: HOW.map(([value, label]) => tile({ name: `${id}-h`, value, label, checked: value === state.how, kind: "chip" })),
      changed: () => touch(Object.assign(state, { how: chosen(how, `${id}-h`) })),
    });
    const when = group({
      id: `${id}-when`,
      legend: "When?",
      kind: "chips",
      tiles: [
        state.at && tile({ name: `${id}-w`, value: "kept", label: `at ${clock(state.at)}`, checked: state.ago === "kept", kind: "chip" }),
        ...MINUTES_AGO.map((value) =>
          tile({ name: `${id}-w`, value, label: value === "0" ? "now" : `${value} min ago`, checked: state.ago === value, kind: "chip" }),
        ),
      ],
      changed: () => touch(Object.assign(state, { ago: chosen(when, `${id}-w`) })),
    });
    const bound = (/** @type {"low" | "high"} */ name, /** @type {string} */ label) => {
      const input = h("input", { id: `${id}-${name}`, type: "text", inputmode: "decimal", autocomplete: "off", value: shownNumber(state[name]),
        on: { input: () => touch(Object.assign(state, { [name]: input.value })) } });
      return h("label", { class: "bound" }, label, input);
    };
    const range = h(
      "details",
      { open: state.low !== "" || state.high !== "" },
      h("summary", { class: "control plain" }, "Lowest and highest it could be"),
      h("div", { class: "bounds" }, bound("low", "Lowest"), bound("high", "Highest")),
    );

    /** @param {{value: string}} parsed */
    function read(parsed) {
      const errors = [];
      const bounds = { low: state.low.trim(), high: state.high.trim() };
      /** @type {Record<string, string>} */
      const values = {};
      for (const name of /** @type {const} */ (["low", "high"])) {
        if (!bounds.low && !bounds.high) continue;
        const one = parseNumber(bounds[name], unit(), question.units);
        if ("error" in one) errors.push({ id: `${id}-${name}`, words: bounds[name] ? one.error : "Give both, lowest and highest, or neither." });
        else values[name] = one.value;
      }
      const inOrder = Number(values.low) <= Number(parsed.value) && Number(parsed.value) <= Number(values.high);
      if (values.low !== undefined && values.high !== undefined && !inOrder) {
        errors.push({ id: `${id}-low`, words: `The lowest has to be at most ${parsed.value}, the highest at least ${parsed.value}.` });
      }
      const at = state.ago === "kept" ? state.at : isoLocal(new Date(Date.now() - Number(state.ago) * 60000));
      return errors.length ? { errors } : { how: state.how, at, ...values, ...(state.window ? { window: state.window } : {}) };
    }

    const show = () => {
      for (const input of how.querySelectorAll("input")) input.checked = input.value === state.how;
      range.querySelector(`#${id}-low`).value = shownNumber(state.low);
      range.querySelector(`#${id}-high`).value = shownNumber(state.high);
      range.open = state.low !== "";
    };
    return { elements: [how, when, range], read, show };
  };
}

/** What was worked out, and a control to take it over. @param {any} offer @param {(given: any) => void} take */
function offerBox(offer, take) {
  return h(
    "div",
    { class: "offer" },
    h("h2", {}, "Forecast"),
    h("p", {}, offer.words),
    offer.value !== undefined && button(`Use ${offer.value} ${offer.unit}`, () => take(offer), { class: "control plain" }),
  );
}

/**
 * @param {any} question @param {any} draft
 * @param {{touch: (raw: any) => void, next: () => void, habit: string, offer?: (name: string) => Promise<any>}} page
 */
export function readingField(question, draft, page) {
  const make = asides(question, draft, page.touch);
  /** @type {any} */
  let aside;
  const field = numberField(question, draft, { ...page, extra: (state) => (aside = make(state)) });
  if (question.offer && page.offer) {
    const box = h("div", { role: "status" });
    field.element.querySelector(".aside-answers")?.prepend(box);
    page.offer(question.offer).then((offer) => {
      if (!offer) return;
      box.replaceChildren(
        offerBox(offer, (given) => {
          field.propose({ text: given.value, unit: given.unit, how: "forecast", ago: "0", low: given.low ?? "", high: given.high ?? "", window: given.window ?? null });
          aside.show();
        }),
      );
    });
  }
  return field;
}
