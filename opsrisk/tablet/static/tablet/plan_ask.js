/** Asks what a computation still needs: one number, choice, time or list a page, with the fields of the questions. */

import { app } from "./context.js";
import { button, h } from "./dom.js";
import { choiceField } from "./field_choice.js";
import { clockField } from "./field_clock.js";
import { numberField } from "./field_number.js";
import { here, link, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import { askOf, canAsk, keepPlan, planAsks, workOut } from "./plan_work.js";
import { parseNumber } from "./numbers.js";
import { timed } from "./plan_words.js";
import { shownNumber } from "./speaking.js";
import { idOf } from "./tiles.js";

/** @param {string[]} path */
const pathOf = (path) => `#/d/${app.draft.id}/plan/${path.join("/")}`;

/** Words, where a name helps a reader and nothing depends on it. @param {any} question @param {any} draft @param {any} page */
function textField(question, draft, { touch }) {
  const id = idOf(question.field);
  const field = h("input", { id, type: "text", maxlength: 60, autocomplete: "off", "aria-label": question.label, value: draft.typing[question.field] ?? draft.answers[question.field] ?? question.usual,
    on: { input: () => touch(field.value) } });
  return { element: h("label", { class: "text" }, question.label, field), read: () => ({ answer: field.value.trim() || question.usual }) };
}

const FIELDS = { quantity: numberField, choice: choiceField, time: clockField, text: textField };

/** Lowest and highest, for what a computation takes with its bounds. @param {any} question */
function bounds(question) {
  const id = idOf(question.field);
  return (/** @type {any} */ state) => {
    const input = (/** @type {string} */ name, /** @type {string} */ label) => {
      const field = h("input", { id: `${id}-${name}`, type: "text", inputmode: "decimal", autocomplete: "off", value: shownNumber(state[name] ?? ""), on: { input: () => (state[name] = field.value.trim()) } });
      return h("label", { class: "bound" }, label, field);
    };
    const read = (/** @type {any} */ parsed) => {
      if (!state.low && !state.high) return {};
      const unit = question.units.find((/** @type {any} */ one) => one.unit === state.unit);
      const ends = ["low", "high"].map((name) => parseNumber(state[name] ?? "", unit, question.units));
      const order = [ends[0], parsed, ends[1]].map((one) => Number(one.value));
      if (ends.some((one) => "error" in one) || order[0] > order[1] || order[1] > order[2]) {
        return { errors: [{ id: `${id}-low`, words: `Give both ends or neither: the lowest at most ${parsed.value}, the highest at least that, ${unit.possible[0]} to ${unit.possible[1]} ${unit.name}.` }] };
      }
      return { low: /** @type {any} */ (ends[0]).value, high: /** @type {any} */ (ends[1]).value };
    };
    return { elements: [h("fieldset", {}, h("legend", {}, "How far off may it be?"), h("div", { class: "bounds" }, input("low", "Lowest"), input("high", "Highest")))], read };
  };
}

/** The next page after an answer: what is still missing for the subject, or what it now gives. @param {string} subject @param {any} all */
async function onward(subject, all) {
  const still = here();
  const { draft } = app;
  let answer;
  try {
    answer = (await workOut(draft)).answer;
  } catch (error) {
    return still() && showErrors([{ id: "next", words: `The plan cannot be worked out on this device: ${/** @type {Error} */ (error).message}. Open the operation at the desk, or go on without it.` }]);
  }
  if (!still()) return undefined;
  const needs = answer.plan?.missing.find((/** @type {any} */ one) => one.computation === subject)?.needs ?? [];
  const open = needs.find((/** @type {any} */ need) => canAsk(askOf(all, subject, need.field)) && draft.plan.answers[`${subject}.${need.field}`] !== "unknown");
  location.hash = pathOf(open ? [subject, open.field] : [subject]);
  return undefined;
}

/**
 * One value on its page.
 * @param {{ask: any, key: string, title: string, over: string, answers: any, keep: (answer: any) => void, next: () => void, back: string, needed: boolean}} given
 */
function showField({ ask, key, title, over, answers, keep, next, back, needed }) {
  const { draft } = app;
  const question = { ...ask, field: key };
  const touch = (/** @type {any} */ raw) => {
    draft.plan.typing[key] = raw;
    keeper.keep(draft);
  };
  const act = () => {
    const result = field.read();
    showErrors(result.errors ?? []);
    if (result.errors) return undefined;
    if (result.pending) return result.pending();
    if (needed && result.answer === "unknown") return showErrors([{ id: idOf(key), words: "The list needs this. Give it, or take the line out." }]);
    delete draft.plan.typing[key];
    keep(result.answer);
    keepPlan(draft);
    return next();
  };
  const field = FIELDS[question.kind](question, { answers, typing: draft.plan.typing }, { touch, next: act, alone: true, habit: app.agency.units, extra: ask.bounds ? bounds(question) : undefined });
  show({ title, over, body: [field.element], back, next: { label: "Keep", act } });
}

/** A row of a list in words. @param {any} ask @param {any} row */
const rowWords = (ask, row) =>
  ask.columns.filter((/** @type {any} */ one) => row[one.name] !== undefined).map((/** @type {any} */ one) => {
    const given = row[one.name];
    const value = one.kind === "time" ? timed(given.at, given.at) : one.kind === "quantity" ? `${given.value} ${given.unit}` : one.kind === "text" ? asWritten(given) : given;
    return `${one.label.toLowerCase()}: ${value}`;
  }).join(", ");

/** A list: its lines, each to be changed or taken out, and one more. @param {string} subject @param {any} ask @param {any} all */
function showRows(subject, ask, all) {
  const { draft } = app;
  const rows = draft.plan.answers[ask.field] ?? [];
  const away = (/** @type {number} */ place) => {
    rows.splice(place, 1);
    keepPlan(draft);
    showRows(subject, ask, all);
  };
  const item = (/** @type {any} */ row, /** @type {number} */ place) => h("li", {}, h("p", {}, h("strong", {}, `${place + 1}. `), rowWords(ask, row)),
    h("div", { class: "pair" }, link(pathOf([subject, ask.name, String(place), ask.columns[0].name]), "Change"), button("Take out", () => away(place), { class: "control plain" })));
  const act = () => (rows.length < ask.least ? showErrors([{ id: "lines", words: `At least ${ask.least} ${ask.least === 1 ? "line is" : "lines are"} needed.` }]) : void onward(subject, all));
  show({
    title: ask.label,
    over: all[subject].title,
    body: [h("p", { class: "hint" }, ask.hint), h("ul", { class: "plan-list", id: "lines" }, rows.map(item)),
      rows.length < ask.most && link(pathOf([subject, ask.name, String(rows.length), ask.columns[0].name]), "Add a line", "big")],
    back: pathOf([subject]),
    next: { label: "Keep", act },
  });
}

/** One column of a line. @param {string} subject @param {any} ask @param {number} place @param {string} name */
function showCell(subject, ask, place, name) {
  const { draft } = app;
  const row = draft.plan.answers[ask.field]?.[place] ?? {};
  const column = ask.columns.find((/** @type {any} */ one) => one.name === name);
  const key = `${ask.field}.${place}.${name}`;
  const after = () => {
    const kept = draft.plan.answers[ask.field][place];
    // A slack has no speed to be asked for.
    const asked = ask.columns.filter((/** @type {any} */ one) => !(one.name === "speed" && kept.stream === "slack"));
    const following = asked[asked.findIndex((/** @type {any} */ one) => one.name === name) + 1];
    location.hash = following ? pathOf([subject, ask.name, String(place), following.name]) : pathOf([subject, ask.name]);
  };
  const keep = (/** @type {any} */ answer) => {
    const rows = (draft.plan.answers[ask.field] ??= []);
    rows[place] = { ...rows[place], [name]: answer === "unknown" ? undefined : answer };
  };
  showField({ ask: { ...column, usual: `Line ${place + 1}` }, key, title: column.label, over: `${ask.label}, line ${place + 1}`, answers: { [key]: row[name] }, keep, next: after,
    back: pathOf([subject, ask.name]), needed: column.needed });
}

/** @param {string[]} path subject, field, and for a list its line and column */
export async function showAsk([subject, name, line, column]) {
  const at = location.hash;
  const all = await planAsks();
  const ask = askOf(all, subject, name);
  if (at !== location.hash) return;
  const { draft } = app;
  if (!canAsk(ask)) location.hash = pathOf([subject ?? ""]);
  else if (ask.kind === "rows" && column) showCell(subject, ask, Math.min(Number(line), draft.plan.answers[ask.field]?.length ?? 0), column);
  else if (ask.kind === "rows") showRows(subject, ask, all);
  else {
    const keep = (/** @type {any} */ answer) => (draft.plan.answers[ask.field] = answer);
    showField({ ask, key: ask.field, title: ask.label, over: all[subject].title, answers: draft.plan.answers, keep, next: () => void onward(subject, all), back: pathOf([subject]), needed: false });
  }
}
