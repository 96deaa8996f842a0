/** Makes elements. Text is always set as text, so nothing a person typed is ever read as markup. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {Element} element
 * @param {Record<string, any>} props  `on` holds listeners; false, null and undefined leave an attribute out
 * @param {any[]} children
 */
function fill(element, props, children) {
  for (const [name, value] of Object.entries(props ?? {})) {
    if (name === "on") {
      for (const [event, listener] of Object.entries(value)) element.addEventListener(event, listener);
    } else if (name === "value" && "value" in element) {
      /** @type {any} */ (element).value = value;
    } else if (value === true) {
      element.setAttribute(name, "");
    } else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(name, String(value));
    }
  }
  for (const child of children.flat(Infinity)) {
    if (child !== null && child !== undefined && child !== false) element.append(child);
  }
  return element;
}

/**
 * An HTML element.
 * @param {string} tag @param {Record<string, any> | null} [props] @param {...any} children
 * @returns {any}
 */
export function h(tag, props, ...children) {
  return fill(document.createElement(tag), props ?? {}, children);
}

/**
 * An SVG element.
 * @param {string} tag @param {Record<string, any> | null} [props] @param {...any} children
 * @returns {any}
 */
export function s(tag, props, ...children) {
  return fill(document.createElementNS(SVG, tag), props ?? {}, children);
}

/** A button that acts on release, so that a finger put down by mistake can still move off it. */
export function button(label, act, props = {}) {
  return h("button", { type: "button", ...props, on: { click: act } }, label);
}
