/**
 * Signing: what is signed stands on the page, and it takes two taps in two places. The first names the
 * act, the second its effect, and the second cannot follow the first by a slip of the same finger.
 */

import { perhaps } from "./speaking.js";
import { app, DECISION_WORDS, go, personOf, placeWords, titleWords } from "./context.js";
import { digest } from "./canonical.js";
import { decider } from "./choose.js";
import { minutesLeft } from "./deciding.js";
import { deliberate } from "./deliberate.js";
import { missingSignatures } from "./draft.js";
import { button, h } from "./dom.js";
import { here, link, show, showErrors } from "./frame.js";
import * as keeper from "./keeper.js";
import { asWritten } from "./language.js";
import * as outbox from "./outbox.js";
import { nameThem } from "./photo_page.js";
import { nameOf } from "./people.js";
import { planToSign } from "./plan_work.js";
import { buildRecord } from "./record.js";
import { clock, dayAndClock, isoLocal } from "./say.js";
import { verdict } from "./shapes.js";
import { MEANINGS, WrongCode, sign, signedBy } from "./signing.js";
import { chosen, group, tile } from "./tiles.js";
import * as vault from "./vault.js";

/** Freezes the record that is about to be signed. From here on a change makes a new one. @param {any} draft */
async function freeze(draft) {
  await nameThem(draft);
  if (draft.record) return;
  const now = isoLocal(new Date());
  const device = { id: app.device, client_version: app.version, offset_s: app.session?.offset_s ?? 0 };
  draft.operation.title ||= titleOf(draft, now);
  const plan = await planToSign(draft);
  draft.record = buildRecord({ draft, situation: draft.situation, plan, device, now });
  draft.digest = await digest(draft.record);
  keeper.keep(draft);
}

/** A title that nobody has to type. @param {any} draft @param {string} now */
function titleOf(draft, now) {
  const kind = app.screens.flatMap((screen) => screen.questions).find((question) => question.field === "task.kind");
  const word = kind.choices.find((/** @type {any} */ choice) => choice.value === draft.answers["task.kind"])?.label ?? "Operation";
  return `${word}, ${draft.operation.place || "place not named"}, ${now.slice(0, 10)}`;
}

/** @param {string | null | undefined} id */
function signerName(id) {
  const person = personOf(id);
  return person && nameOf(person);
}

/** The decisive data, as they will be signed. @param {any} draft */
function whatIsSigned(draft) {
  const { decision, chosen: choice } = draft.record;
  const names = Object.entries(draft.record.situation.positions ?? {})
    .filter(([name]) => ["supervisor", "diver", "standby_diver"].includes(name))
    .map(([name, entry]) => `${name.replace("_", " ")}: ${signerName(entry.person) ?? (entry.filled === "yes" ? "not on the roster" : "nobody")}`);
  const open = draft.record.controls_ticked.filter((/** @type {any} */ control) => !control.ticked).length;
  return h(
    "section",
    { class: "signed-over" },
    verdict(choice.decision),
    h("ul", {},
      h("li", {}, titleWords(draft.operation)),
      choice.decision !== decision.decision && h("li", {}, `Computed: ${DECISION_WORDS[decision.decision]}`),
      draft.correction && h("li", {}, `Correction, because the revision before was wrong: ${asWritten(draft.correction.reason)}`),
      choice.reason && h("li", {}, `Reason for less caution: ${asWritten(choice.reason)}`),
      h("li", {}, `Holds until ${dayAndClock(decision.valid_until)}`),
      h("li", {}, names.length ? names.join("; ") : "No position has a name"),
      open > 0 && h("li", {}, `${open} of ${draft.record.controls_ticked.length} controls not ticked`),
      (draft.record.photos ?? []).map((/** @type {any} */ one) => h("li", {}, "Photo: ", perhaps(one.caption), `, ${clock(one.taken_at)}, file ${asWritten(one.sha256.slice(0, 12))}`)),
      h("li", {}, `Revision ${draft.revision}; record ${asWritten(draft.digest.slice(0, 12))}`)),
  );
}

/** @param {any} draft */
function already(draft) {
  if (!draft.signatures.length) return null;
  return h("section", { class: "signatures" }, h("h2", {}, "Signed on this device, awaiting server"),
    h("ul", {}, draft.signatures.map((/** @type {any} */ one) => h("li", {}, signedBy(one)))));
}

/** @param {any} draft */
function startsWith(draft) {
  const missing = missingSignatures(draft)[0] ?? "briefed";
  return { meaning: missing, person: missing === "decided" ? decider(draft) : missing === "overrode" ? draft.chosen.second_person : "" };
}

/** Who may sign as this. @param {string} meaning @param {any} draft */
function signers(meaning, draft) {
  const may = { decided: (/** @type {any} */ one) => one.may.includes("decide"), overrode: (/** @type {any} */ one) => one.id === draft.chosen.second_person };
  return app.kit.roster.filter(may[meaning] ?? (() => true));
}

/** As what, who, and the code. @param {any} draft */
function form(draft) {
  const start = startsWith(draft);
  const meanings = Object.entries(MEANINGS).filter(([name]) => name !== "overrode" || draft.chosen.second_person);
  const as = group({
    id: "meaning",
    legend: "Sign as",
    kind: "chips",
    tiles: meanings.map(([value, label]) => tile({ name: "as", value, label, checked: value === start.meaning, kind: "chip" })),
    changed: () => who.replaceChildren(people(chosen(as, "as"))),
  });
  const people = (/** @type {string} */ meaning) =>
    group({
      id: "signer",
      legend: "Who signs?",
      tiles: signers(meaning, draft).map((/** @type {any} */ one) => tile({ name: "who", value: one.id, label: asWritten(one.name), checked: one.id === start.person })),
      changed: () => {},
    });
  const who = h("div", {}, people(start.meaning));
  const code = h("input", { id: "code-field", type: "password", autocomplete: "off", spellcheck: "false", autocapitalize: "none" });
  const shown = button("Show", () => {
    code.type = code.type === "password" ? "text" : "password";
    shown.textContent = code.type === "password" ? "Show" : "Hide";
  }, { class: "control plain" });
  const element = h("div", { class: "signing" }, as, who, h("div", { class: "code", id: "code" }, h("label", { for: "code-field" }, "Signing code"), h("div", { class: "pair" }, code, shown)));
  return { element, read: () => ({ person: personOf(chosen(who, "who")), meaning: chosen(as, "as"), code: code.value }) };
}

/** @param {any} draft @param {any} given */
function problems(draft, { person, meaning, code }) {
  const errors = [];
  if (!person) errors.push({ id: "signer", words: "Choose who signs." });
  if (!meaning) errors.push({ id: "meaning", words: "Choose as what." });
  if (!code) errors.push({ id: "code", words: "Give the signing code of the person who signs." });
  if (person && draft.signatures.some((/** @type {any} */ one) => one.person === person.id && one.meaning === meaning)) {
    errors.push({ id: "signer", words: `${asWritten(person.name)} has already signed this as: ${MEANINGS[meaning]}.` });
  }
  if (meaning === "overrode" && person?.id !== draft.chosen.second_person) {
    errors.push({ id: "signer", words: "Only the second person that was named can agree to less caution." });
  }
  if (meaning === "decided" && person && !person.may.includes("decide")) {
    errors.push({ id: "signer", words: `${asWritten(person.name)} cannot sign as the one who decided: that takes a dive supervisor or the chief.` });
  }
  return errors;
}

/** @param {any} draft @param {any} given */
async function signNow(draft, { person, meaning, code }) {
  if ((await digest(draft.record)) !== draft.digest) throw new Error("The record has changed since it was shown. Go back and look at it again.");
  const signature = await sign({ record: draft.digest, person, role: person.role, meaning, at: isoLocal(new Date()), code });
  draft.signatures.push(signature);
  draft.status = "signed";
  keeper.keep(draft);
  await keeper.flush();
  if (person.id === app.person.id && !(await vault.protectedByCode())) await vault.protect(code);
}

/** @param {any} draft @param {any} given @param {ReturnType<typeof deliberate>} confirm */
function second(draft, given, confirm) {
  const still = here();
  const act = async () => {
    try {
      await signNow(draft, given);
      if (still()) await showSign();
    } catch (error) {
      confirm.away();
      showErrors([{ id: error instanceof WrongCode ? "code" : "signer", words: /** @type {Error} */ (error).message }]);
    }
  };
  confirm.ask({
    id: "sign-confirm",
    title: `${asWritten(given.person.name)} signs: ${MEANINGS[given.meaning]}`,
    words: "After this the record cannot be changed; a change makes a new revision.",
    label: `Sign "${DECISION_WORDS[draft.chosen.decision]}" for ${placeWords(draft.operation)}`,
    act,
  });
}

/** @param {any} draft */
async function finish(draft) {
  const still = here();
  await keeper.flush();
  await outbox.enqueue(draft);
  if (still()) go("sheet");
}

export async function showSign() {
  const at = location.hash;
  const draft = app.draft;
  if (!draft.chosen || !draft.decision) return go("choose");
  if (draft.status === "open" && minutesLeft(draft.decision) <= 0) {
    return show({ at, title: "The decision no longer holds", body: [h("p", { class: "critical" }, "Measure again and have it worked out again before anybody signs."), link(`#/d/${draft.id}/decision`, "To the decision", "big")], back: `#/d/${draft.id}/decision` });
  }
  await freeze(draft);
  const missing = missingSignatures(draft);
  const given = form(draft);
  const confirm = deliberate();
  const first = () => {
    const act = given.read();
    const errors = problems(draft, act);
    showErrors(errors);
    confirm.away();
    if (!errors.length) second(draft, act, confirm);
  };
  const send = () => confirm.ask({ id: "send-confirm", title: "Finish and send", words: "Others can no longer sign this revision on this tablet.", label: `Send "${DECISION_WORDS[draft.chosen.decision]}" for ${placeWords(draft.operation)}`, act: () => finish(draft) });
  show({
    at,
    title: missing.length ? "Sign" : "Signed",
    over: missing.length ? `Still needed: ${missing.map((one) => MEANINGS[one]).join("; ")}` : "Others may sign too",
    wide: true,
    body: [
      whatIsSigned(draft),
      already(draft),
      missing.length === 0 && h("p", {}, "Finishing sends the record as soon as there is a network, and shows the sheet to print. Others may sign before that."),
      confirm.element,
      given.element,
      missing.length === 0 && button("Sign too", first, { class: "control big", id: "sign-too" }),
    ],
    back: draft.status === "open" ? `#/d/${draft.id}/brief` : "#/",
    next: missing.length ? { label: "Sign", act: first } : { label: "Finish and send", act: send },
  });
}
