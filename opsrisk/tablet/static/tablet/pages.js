/** The question pages: one screen of the list, its fields, and what Next does. */

import { app, personOf } from "./context.js";
import { derive } from "./derived.js";
import * as drafts from "./draft.js";
import { h } from "./dom.js";
import { agoField } from "./field_ago.js";
import { choiceField } from "./field_choice.js";
import { conditionField } from "./field_condition.js";
import { numberField } from "./field_number.js";
import { placeField } from "./field_place.js";
import { positionField } from "./field_position.js";
import { readingField } from "./field_reading.js";
import { vehicleField } from "./field_vehicle.js";
import { link, show, showErrors } from "./frame.js";
import { offer } from "./offers.js";
import { DIVING_POSITIONS, placed } from "./people.js";
import * as keeper from "./keeper.js";
import { choose, idOf } from "./tiles.js";
import { justChanged } from "./undo.js";

/** The position that a person already fills, in words, or "". @param {string} id @param {string} besides */
function taken(id, besides) {
  for (const screen of app.screens) {
    for (const question of screen.questions) {
      if (question.kind === "position" && question.field !== besides && app.draft.answers[question.field]?.person === id) {
        return question.label.toLowerCase();
      }
    }
  }
  return "";
}

/** What each kind of question needs besides its own words. */
const FIELDS = {
  choice: choiceField,
  reading: readingField,
  quantity: numberField,
  ago: agoField,
  place: placeField,
  position: positionField,
  condition: conditionField,
  vehicle: vehicleField,
};

/** A known place says what water it is; the person sees it chosen and can change it. @param {any} site */
function picked(site) {
  const id = idOf("site.water");
  const group = document.getElementById(id);
  if (!site || !group) return;
  choose(group, id, site.water);
  app.draft.typing["site.water"] = site.water;
}

/** @param {any} question @param {boolean} alone @param {() => void} next */
function fieldOf(question, alone, next) {
  const draft = app.draft;
  const touch = (/** @type {any} */ raw) => {
    draft.typing[question.field] = raw;
    keeper.keep(draft);
  };
  const page = {
    touch,
    next,
    alone,
    offer,
    picked,
    habit: app.agency?.units ?? "us",
    sites: app.kit.sites,
    vehicles: app.kit.vehicles,
    roster: app.kit.roster,
    crew: placed(draft, (position) => DIVING_POSITIONS.includes(position)).map(personOf).filter(Boolean),
    taken: (/** @type {string} */ id) => taken(id, question.field),
  };
  return { question, ...FIELDS[question.kind](question, draft, page) };
}

/** Takes over the answers, with what a single field does not know; true if an earlier one was changed. @param {any} question @param {any} answer */
function commit(question, answer) {
  const whose = question.kind === "reading" && answer !== "unknown" ? { ...answer, by: app.person.id } : answer;
  const changed = drafts.setAnswer(app.draft, question.field, whose);
  derive(app.draft, question);
  return changed;
}

/** Reads every field; goes on only if all of them answer. @param {any[]} fields @param {() => void} onward */
function onNext(fields, onward) {
  const results = fields.map((field) => ({ field, result: field.read() }));
  const errors = results.flatMap(({ result }) => result.errors ?? []);
  showErrors(errors);
  if (errors.length) return;
  const pending = results.find(({ result }) => result.pending);
  if (pending) return pending.result.pending();
  app.draft.justChanged = results.filter(({ field, result }) => commit(field.question, result.answer)).map(({ field }) => field.question.field);
  keeper.keep(app.draft);
  onward();
}

/** Where a screen stands among all, in words. @param {any} screen @param {any[]} asked */
const where = (screen, asked) => `${screen.section} · ${asked.indexOf(screen) + 1} of ${asked.length}`;

/** @param {string} id of the screen @param {boolean} fromCheck came from the check page and goes back there @param {{quiet?: boolean}} [how] */
export function showQuestion(id, fromCheck, { quiet = false } = {}) {
  const base = `#/d/${app.draft.id}`;
  const asked = drafts.screensOf(app.screens, app.draft);
  const screen = app.screens.find((one) => one.id === id) ?? asked[0];
  const place = asked.indexOf(screen);
  if (place < 0) return location.replace(`${base}/contents`); // another answer has closed it
  app.draft.at = screen.id;
  keeper.keep(app.draft);

  const onward = () => {
    // Asked again, because an answer may have opened or closed a later question.
    const now = drafts.screensOf(app.screens, app.draft);
    const following = now[now.indexOf(screen) + 1];
    location.hash = fromCheck || !following ? `${base}/check` : `${base}/${following.id}`;
  };
  const questions = drafts.askedOf(screen, app.draft);
  const alone = questions.length === 1 && questions[0].label === screen.title;
  /** @type {any[]} */
  const fields = [];
  const next = () => onNext(fields, onward);
  for (const question of questions) fields.push(fieldOf(question, alone, next));

  /** After an undo: this page anew, or the question itself where it has closed this one. @param {any} question */
  const undone = (question) => {
    if (drafts.askedOf(screen, app.draft).length) return showQuestion(id, fromCheck, { quiet: true });
    const asks = app.screens.find((one) => one.questions.includes(question));
    location.hash = `${base}/${asks.id}${fromCheck ? "/check" : ""}`;
    return undefined;
  };
  return show({
    title: screen.title,
    over: where(screen, asked),
    quiet,
    body: [justChanged(app.draft.justChanged ?? [], undone), h("p", { class: "why" }, screen.why), ...fields.map((field) => field.element)],
    back: fromCheck ? `${base}/check` : place > 0 ? `${base}/${asked[place - 1].id}` : "#/",
    more: [link(`${base}/contents`, "All questions", "step aside")],
    next: { label: fromCheck ? "Keep" : "Next", act: next },
  });
}
