/** One number of the plan: its picture, its answers with their error, what it was worked out from, how and by whom. */

import { app, placeWords } from "./context.js";
import { button, h } from "./dom.js";
import { link, show } from "./frame.js";
import { canAsk, keepPlan, planAsks, planOf } from "./plan_work.js";
import { drawing, timed, valueWords } from "./plan_words.js";
import { perhaps } from "./speaking.js";

const DRAWN_ONLY = ["curve", "line", "pattern"]; // lists that the picture shows better
const CHANGEABLE = ["plan", "usual value", "not known"];

/** @param {any} answer @param {string} at */
function answerRow(answer, at) {
  const plan = answer.low !== answer.high && answer.plan_on ? `plan on ${answer.plan_on} ${answer.unit}` : "";
  return h("div", { class: "answer" }, h("dt", {}, answer.words), h("dd", {}, valueWords(answer, at), plan && h("span", { class: "plan-on" }, ` ${plan}`)),
    h("dd", { class: "error-of" }, answer.error ?? ""));
}

/** @param {any} answer a list @param {string} at */
function tableOf(answer, at) {
  if (!answer.rows.length) return null;
  return h("section", {}, h("h2", {}, answer.words), h("div", { class: "scroll part", tabindex: "0", role: "region", "aria-label": answer.words },
    h("table", {},
      h("thead", {}, h("tr", {}, answer.columns.map((/** @type {any} */ column) => h("th", { scope: "col" }, column.words, column.unit && `, ${column.unit}`)))),
      h("tbody", {}, answer.rows.map((/** @type {any} */ row) => h("tr", {}, answer.columns.map((/** @type {any} */ column) => h("td", {}, row[column.name] === null ? "-" : perhaps(timed(row[column.name], at))))))))));
}

/** @param {any} number @param {any} all @param {string} base @param {boolean} open @param {string} at */
function inputRows(number, all, base, open, at) {
  return h("dl", { class: "answers inputs" }, number.inputs.map((/** @type {any} */ input) => {
    const ask = all[number.computation].asks.find((/** @type {any} */ one) => one.label === input.words);
    const change = open && canAsk(ask) && CHANGEABLE.includes(input.from);
    return h("div", { class: "answer" }, h("dt", {}, input.words), h("dd", {}, perhaps(timed(input.shown, at)), h("span", { class: "from" }, ` · ${input.from}${input.why ? `: ${input.why}` : ""}`)),
      h("dd", { class: "change" }, change && link(`${base}/${number.computation}/${ask.name}`, ["Change", h("span", { class: "hidden" }, ` ${input.words}`)])));
  }));
}

/** What may be told besides: inputs that are left out where nobody gives them. @param {any} number @param {any} all @param {string} base */
function besides(number, all, base) {
  const taken = number.inputs.map((/** @type {any} */ one) => one.words);
  const more = all[number.computation].asks.filter((/** @type {any} */ ask) => canAsk(ask) && !taken.includes(ask.label));
  if (!more.length) return null;
  return h("section", {}, h("h2", {}, "May be told too"), h("div", { class: "pair" }, more.map((/** @type {any} */ ask) => link(`${base}/${number.computation}/${ask.name}`, ask.label))));
}

/** @param {any} number @param {string | undefined} picture @param {any} all @param {string} base @param {boolean} open @param {string} at */
function numberBody(number, picture, all, base, open, at) {
  const plain = number.answers.filter((/** @type {any} */ one) => one.kind !== "rows");
  const lists = number.answers.filter((/** @type {any} */ one) => one.kind === "rows" && !DRAWN_ONLY.includes(one.name));
  const cited = number.sources.length ? h("span", { translate: "no", lang: "en" }, number.sources.join("; ")) : "own derivation, checked by simulation";
  return [
    h("p", { class: "critical" }, number.headline),
    number.warnings.length > 0 && h("section", { class: "said" }, h("h2", {}, "To be said"), h("ul", {}, number.warnings.map((/** @type {string} */ one) => h("li", {}, timed(one, at))))),
    picture && drawing(picture),
    h("section", {}, h("h2", {}, "Answers, and how far off they may be"), h("dl", { class: "answers three" }, plain.map((/** @type {any} */ one) => answerRow(one, at)))),
    lists.map((/** @type {any} */ one) => tableOf(one, at)),
    h("section", {}, h("h2", {}, "Worked out from"), inputRows(number, all, base, open, at)),
    open && besides(number, all, base),
    h("section", { class: "facts" }, h("h2", {}, "How, and by whom"), h("p", {}, h("strong", {}, "Method: "), number.method), h("p", {}, h("strong", {}, "Holds for: "), number.limits),
      h("p", {}, h("strong", {}, "Sources: "), cited), h("p", {}, h("strong", {}, "Guide: "), h("span", { translate: "no" }, number.page))),
  ];
}

/** What can be asked of a subject that has no number yet. @param {string} subject @param {any} plan @param {any} items @param {any} all @param {string} base @param {boolean} open */
function without(subject, plan, items, all, base, open) {
  const find = (/** @type {string} */ place) => plan[place].find((/** @type {any} */ one) => one.computation === subject);
  const [missing, refused] = [find("missing"), find("refused")];
  const forget = () => {
    const { plan: own } = app.draft;
    own.named = own.named.filter((/** @type {string} */ one) => one !== subject);
    for (const field of Object.keys(own.answers)) if (field.startsWith(`${subject}.`)) delete own.answers[field];
    keepPlan(app.draft);
    location.hash = base;
  };
  return [
    h("p", {}, all[subject]?.question),
    missing && h("section", {}, h("h2", {}, "Missing"), h("ul", { class: "plan-list" }, items.missingItem(base, missing, all, open))),
    refused && h("section", {}, h("h2", {}, "Not given"), h("ul", { class: "plan-list" }, items.refusedItem(base, refused, all, open))),
    !missing && !refused && h("p", {}, "Nothing to work out here."),
    open && all[subject]?.only_if_asked && button("Leave this out", forget, { class: "control plain" }),
  ];
}

/** @param {string} subject @param {any} items how the list shows what is missing and refused */
export async function showNumber(subject, items) {
  const at = location.hash;
  const draft = app.draft;
  const base = `#/d/${draft.id}/plan`;
  const open = draft.status === "open";
  const [all, answer] = [await planAsks(), await planOf(draft)];
  if (at !== location.hash) return undefined;
  if (!answer.plan) return void (location.hash = base);
  const { plan, pictures } = answer;
  const number = plan.numbers.find((/** @type {any} */ one) => one.computation === subject);
  const body = number ? numberBody(number, pictures[subject], all, base, open, plan.assessed_at) : without(subject, plan, items, all, base, open);
  return show({ at, title: all[subject]?.title ?? "The plan", over: `The plan · ${placeWords(draft.operation)}`, wide: true, body, back: base });
}

