/** The plan: the few numbers that matter now, each leading to what it rests on; what is missing, and what is refused. */

import { app, go, placeWords } from "./context.js";
import { button, h } from "./dom.js";
import { link, show } from "./frame.js";
import { asWritten } from "./language.js";
import { showAsk } from "./plan_ask.js";
import { askOf, canAsk, keepPlan, planAsks, planOf } from "./plan_work.js";
import { showNumber } from "./plan_number.js";
import { refusalWords, timed } from "./plan_words.js";

const MATTER_NOW = 6; // as many as a tablet shows without scrolling; the others follow smaller

/** @param {string} base @param {any} number @param {boolean} big */
function numberLink(base, number, big) {
  const warned = number.warnings.length > 0;
  return h("li", {}, h("a", { class: `tile number-link ${big ? "now" : ""}`, href: `${base}/${number.computation}` },
    h("span", { class: "headline" }, number.headline),
    h("span", { class: "words" }, number.title, warned && h("strong", { class: "flagged" }, `! ${number.warnings.length} to be said`))));
}

/** @param {string} base @param {any} one @param {any} all @param {boolean} open */
function missingItem(base, one, all, open) {
  const words = one.needs.map((/** @type {any} */ need) => need.words).join("; ");
  const first = one.needs.find((/** @type {any} */ need) => canAsk(askOf(all, one.computation, need.field)));
  return h("li", {}, h("p", {}, h("strong", {}, `${one.title}: `), words),
    open && first && link(`${base}/${one.computation}/${first.field}`, ["Answer", h("span", { class: "hidden" }, ` for ${one.title}`)]));
}

/** @param {string} base @param {any} one @param {any} all @param {boolean} open */
function refusedItem(base, one, all, open) {
  const fields = one.reasons.map((/** @type {any} */ reason) => ({ reason, ask: askOf(all, one.computation, reason.field.split(/[.[]/)[0]) }));
  return h("li", {}, h("p", {}, h("strong", {}, one.title)),
    fields.map(({ reason, ask }) => h("p", {}, refusalWords(reason, ask))),
    open && fields.filter(({ ask }) => canAsk(ask)).map(({ ask }) => link(`${base}/${one.computation}/${ask.name}`, `Change: ${ask.label}`)));
}

/** Subjects that are worked out only for whoever asks. @param {any} draft @param {string} base @param {any} all */
function others(draft, base, all) {
  const { plan } = draft;
  const unnamed = Object.entries(all).filter(([name, one]) => one.only_if_asked && !plan.named.includes(name));
  if (!unnamed.length) return null;
  const ask = (/** @type {string} */ name) => {
    plan.named.push(name);
    keepPlan(draft);
    location.hash = `${base}/${name}`;
  };
  return h("section", {}, h("h2", {}, "Work out something else"),
    h("div", { class: "pair" }, unnamed.map(([name, one]) => button(one.title, () => ask(name), { class: "control plain" }))));
}

/** What stands in a plan, in the order in which it matters. @param {any} draft @param {any} plan @param {string} base @param {any} all @param {boolean} open */
function contents(draft, plan, base, all, open) {
  const list = (/** @type {string} */ title, /** @type {any[]} */ items, /** @type {(one: any) => any} */ item, kind = "plan-list") =>
    items.length > 0 && h("section", {}, h("h2", {}, title), h("ul", { class: kind }, items.map(item)));
  const now = plan.numbers.slice(0, MATTER_NOW);
  return [
    plan.warnings.length > 0 && h("section", { class: "said" }, h("h2", {}, "To be said"), h("ul", {}, plan.warnings.map((/** @type {any} */ one) => h("li", {}, timed(one.text, plan.assessed_at))))),
    now.length ? list("Now", now, (one) => numberLink(base, one, true), "plan-numbers") : h("p", {}, "No number can be worked out yet."),
    list("Also", plan.numbers.slice(MATTER_NOW), (one) => numberLink(base, one, false), "plan-numbers"),
    list("Not given", plan.refused, (one) => refusedItem(base, one, all, open)),
    list("Missing", plan.missing, (one) => missingItem(base, one, all, open)),
    open && others(draft, base, all),
  ];
}

/** The inputs as a whole were refused. @param {string[][]} refused */
const noPlan = (refused) =>
  h("section", { class: "cannot", role: "alert" }, h("h2", {}, "No plan from these inputs"),
    h("ul", {}, refused.map(([field, given, accepted]) => h("li", {}, `${asWritten(field)}: given ${asWritten(given)}. Accepted: ${accepted}.`))));

/** @param {string} why */
const unable = (why) => h("p", { class: "cannot", role: "alert" }, `The plan cannot be worked out on this device: ${why}. Open the operation at the desk, or go on without it.`);

async function showList() {
  const at = location.hash;
  const draft = app.draft;
  const open = draft.status === "open";
  const page = { at, title: "The plan", over: placeWords(draft.operation), wide: true, back: open ? `#/d/${draft.id}/decision` : `#/d/${draft.id}/sheet`,
    ...(open ? { next: { label: "Choose", act: () => go("choose") } } : {}) };
  show({ ...page, body: [h("p", { role: "status" }, "Working the plan out.")] });
  const base = `#/d/${draft.id}/plan`;
  let body;
  try {
    const all = await planAsks();
    const answer = await planOf(draft);
    if (answer.none) body = [h("p", {}, "This record was signed without a plan.")];
    else if (answer.refused) body = [noPlan(answer.refused)];
    else body = [answer.saved && h("p", { class: "compared" }, answer.saved), h("p", {}, `For ${timed(answer.plan.assessed_at, "")}, by the readings of then. ${open ? "It goes into the record with the signature." : "As it was signed."}`), contents(draft, answer.plan, base, all, open)];
  } catch (error) {
    body = [unable(/** @type {Error} */ (error).message)];
  }
  show({ ...page, body, quiet: true });
}

/** @param {string[]} path subject, field, row, column @returns {Promise<void> | void} */
export function showPlan([subject, ...field]) {
  const draft = app.draft;
  // Nothing computed is shown before the own judgement.
  if (draft.status === "open" && !(draft.judgement && draft.decision)) return go("decision");
  if (subject && field.length && draft.status === "open") return showAsk([subject, ...field]);
  return subject ? showNumber(subject, { missingItem, refusedItem }) : showList();
}
