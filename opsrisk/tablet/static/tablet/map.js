/** The decision map: two readings on the axes, the decision in each region, this operation and its bounds on it. */

import { DECISION_WORDS } from "./context.js";
import { DECISIONS } from "./draft.js";
import { h, s } from "./dom.js";
import { shape } from "./shapes.js";

const WIDTH = 720;
const HEIGHT = 440;
const LEFT = 78;
const BOTTOM = 64;
const TOP = 14;
const RIGHT = 20;
const GLYPH = 30;

/** A scale from a reading to a place on the drawing. @param {any} axis @param {number} from @param {number} to */
function scale(axis, from, to) {
  const edges = axis.edges.map(Number);
  const [low, high] = [edges[0], edges[edges.length - 1]];
  return (/** @type {number} */ value) => from + ((Math.min(Math.max(value, low), high) - low) / (high - low || 1)) * (to - from);
}

/** Joins neighbours in a row that decide alike, so that one region is one rectangle. @param {string[]} row */
function runs(row) {
  const found = [];
  for (let i = 0; i < row.length; i += 1) {
    const last = found[found.length - 1];
    if (last && last.decision === row[i]) last.to = i + 1;
    else found.push({ decision: row[i], from: i, to: i + 1 });
  }
  return found;
}

/** @param {any} map @param {(v: number) => number} x @param {(v: number) => number} y */
function regions(map, x, y) {
  const [xs, ys] = [map.x.edges.map(Number), map.y.edges.map(Number)];
  return map.cells.flatMap((/** @type {string[]} */ row, /** @type {number} */ j) =>
    runs(row).map(({ decision, from, to }) => {
      const [left, right] = [x(xs[from]), x(xs[to])];
      const [top, bottom] = [y(ys[j + 1]), y(ys[j])];
      const glyph = shape(decision);
      glyph.setAttribute("x", String((left + right) / 2 - GLYPH / 2));
      glyph.setAttribute("y", String((top + bottom) / 2 - GLYPH / 2));
      glyph.setAttribute("width", String(GLYPH));
      glyph.setAttribute("height", String(GLYPH));
      const fits = right - left > GLYPH + 6 && bottom - top > GLYPH + 6;
      return s("g", { class: `region is-${decision}` }, s("rect", { x: left, y: top, width: right - left, height: bottom - top }), fits && glyph);
    }),
  );
}

/** Ticks at the edges, leaving out those that would print over each other. @param {any} axis @param {(v: number) => number} at @param {number} gap */
function ticks(axis, at, gap) {
  /** @type {string[]} */
  const kept = [];
  let last = -Infinity;
  for (const edge of axis.edges) {
    if (Math.abs(at(Number(edge)) - last) < gap) continue;
    kept.push(edge);
    last = at(Number(edge));
  }
  return kept;
}

const short = (/** @type {string} */ decimal) => (decimal.includes(".") ? decimal.replace(/\.?0+$/, "") : decimal);

/** @param {any} map @param {(v: number) => number} x @param {(v: number) => number} y */
function axes(map, x, y) {
  const floor = HEIGHT - BOTTOM;
  return [
    ticks(map.x, x, 44).map((edge) => s("text", { x: x(Number(edge)), y: floor + 24, "text-anchor": "middle" }, short(edge))),
    ticks(map.y, y, 24).map((edge) => s("text", { x: LEFT - 8, y: y(Number(edge)) + 6, "text-anchor": "end" }, short(edge))),
    s("text", { x: (LEFT + WIDTH - RIGHT) / 2, y: HEIGHT - 8, "text-anchor": "middle", class: "axis" }, `${map.x.label}, ${map.x.unit}`),
    s("text", { x: 18, y: (TOP + floor) / 2, "text-anchor": "middle", class: "axis", transform: `rotate(-90 18 ${(TOP + floor) / 2})` }, `${map.y.label}, ${map.y.unit}`),
    s("rect", { class: "outline", x: LEFT, y: TOP, width: WIDTH - RIGHT - LEFT, height: floor - TOP }),
  ];
}

/** @param {any} map @param {(v: number) => number} x @param {(v: number) => number} y */
function here(map, x, y) {
  const [left, right] = [x(Number(map.x.low)), x(Number(map.x.high))];
  const [bottom, top] = [y(Number(map.y.low)), y(Number(map.y.high))];
  const [cx, cy] = [x(Number(map.x.value)), y(Number(map.y.value))];
  const cross = `M${cx - 14} ${cy}H${cx + 14}M${cx} ${cy - 14}V${cy + 14}`;
  return [
    s("rect", { class: "bounds under", x: left, y: top, width: Math.max(2, right - left), height: Math.max(2, bottom - top) }),
    s("rect", { class: "bounds", x: left, y: top, width: Math.max(2, right - left), height: Math.max(2, bottom - top) }),
    s("path", { class: "cross under", d: cross }),
    s("path", { class: "cross", d: cross }),
  ];
}

/** What the picture shows, for who cannot see it. @param {any} map */
function inWords(map) {
  const reading = (/** @type {any} */ axis) => (axis.known ? `${axis.label} ${axis.value} ${axis.unit}, between ${axis.low} and ${axis.high}` : `${axis.label} not known`);
  return `Decisions over ${map.x.label.toLowerCase()} and ${map.y.label.toLowerCase()}, all else as it is. Here: ${reading(map.x)}; ${reading(map.y)}.`;
}

/** @param {any} map of the decision document, or null */
export function decisionMap(map) {
  if (!map) return null;
  const x = scale(map.x, LEFT, WIDTH - RIGHT);
  const y = scale(map.y, HEIGHT - BOTTOM, TOP);
  const known = map.x.known && map.y.known;
  const used = DECISIONS.filter((decision) => map.cells.some((/** @type {string[]} */ row) => row.includes(decision)));
  return h(
    "figure",
    { class: "map" },
    s("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": inWords(map) }, regions(map, x, y), axes(map, x, y), known ? here(map, x, y) : []),
    h("ul", { class: "legend" }, used.map((decision) => h("li", { class: `is-${decision}` }, shape(decision), DECISION_WORDS[decision]))),
    h("figcaption", {}, inWords(map), known ? " The cross is this operation, the dashed box how far off its readings may be." : ""),
  );
}
