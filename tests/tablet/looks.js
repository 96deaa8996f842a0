/** What tests measure on a page: sizes, gaps, contrast. Text in, numbers out; nothing is changed. */

(() => {
  const visible = (element) => {
    const box = element.getBoundingClientRect();
    const style = getComputedStyle(element);
    const modal = document.querySelector("dialog:modal"); // takes what is behind it out of reach
    if (modal && !modal.contains(element)) return false;
    return box.width > 0 && box.height > 0 && style.visibility !== "hidden" && !element.closest("[hidden]");
  };

  /** What a finger meets: links, buttons, labels of tiles, fields. */
  const targets = () => {
    const all = [...document.querySelectorAll("a[href], button, summary, textarea, input, label.tile, label.chip")];
    return all.filter((element) => visible(element) && !(element.matches("input") && element.closest(".tile, .chip")) && !element.closest(".paper"));
  };

  const primary = (element) => element.matches(".tile, .big, .step");

  const sizes = () =>
    targets().map((element) => {
      const { width, height } = element.getBoundingClientRect();
      return { what: element.innerText?.slice(0, 40) || element.id, primary: primary(element), width, height };
    });

  /** Wholly within what the scrolling page shows at the moment. */
  const shown = (element) => {
    const page = element.closest("#page");
    if (!page) return true;
    const [inner, outer] = [element.getBoundingClientRect(), page.getBoundingClientRect()];
    return inner.top >= outer.top && inner.bottom <= outer.bottom;
  };

  /** The smallest gap between two primary targets, edge to edge. */
  const gaps = () => {
    const boxes = targets().filter((element) => primary(element) && shown(element)).map((element) => ({ what: element.innerText.slice(0, 30), ...element.getBoundingClientRect().toJSON() }));
    const near = [];
    boxes.forEach((a, i) =>
      boxes.slice(i + 1).forEach((b) => {
        const x = Math.max(0, b.left - a.right, a.left - b.right);
        const y = Math.max(0, b.top - a.bottom, a.top - b.bottom);
        near.push({ between: `${a.what} / ${b.what}`, gap: Math.hypot(x, y) });
      }),
    );
    return near.sort((a, b) => a.gap - b.gap).slice(0, 3);
  };

  const rgb = (text) => (text.match(/[\d.]+/g) ?? []).map(Number);
  const light = (colour) => {
    const [r, g, b] = colour.map((part) => (part / 255 <= 0.03928 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (element) => {
    for (let here = element; here; here = here.parentElement) {
      const colour = rgb(getComputedStyle(here).backgroundColor);
      if (colour.length === 3 || colour[3] > 0) return colour.slice(0, 3);
    }
    return [255, 255, 255];
  };

  /** Every piece of text with its contrast, size, and whether life may hang on it. */
  const texts = () => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found = [];
    while (walker.nextNode()) {
      const element = walker.currentNode.parentElement;
      if (!walker.currentNode.data.trim() || !element || !visible(element) || element.closest("svg, .hidden, noscript, :disabled")) continue;
      const style = getComputedStyle(element);
      const [a, b] = [light(rgb(style.color)), light(ground(element))].sort((x, y) => y - x);
      found.push({
        text: walker.currentNode.data.trim().slice(0, 50),
        contrast: (a + 0.05) / (b + 0.05),
        size: parseFloat(style.fontSize),
        weight: Number(style.fontWeight),
        critical: Boolean(element.closest(".critical, .verdict")),
        paper: Boolean(element.closest(".paper")),
      });
    }
    return found;
  };

  window.looks = { sizes, gaps, texts };
})();
