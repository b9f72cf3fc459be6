// Evaluated in a page. Returns the number of its figures and a list of what is wrong.
(() => {
  const SHAPES = "line, polyline, polygon, path, rect, circle, ellipse";
  const NOT_DRAWN = "defs, symbol, marker, pattern, clipPath, mask";
  const complaints = [];
  const name = (element) => `<${[element.localName, ...element.classList].join(".")}>`;
  const quote = (element) => `“${element.textContent.trim().slice(0, 30)}”`;

  // A canvas resolves every notation of a colour that the browser itself knows.
  const canvas = document.createElement("canvas");
  const pixel = canvas.getContext("2d", { willReadFrequently: true });
  function rgba(colour) {
    pixel.clearRect(0, 0, 1, 1);
    pixel.fillStyle = colour;
    pixel.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = pixel.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  }

  const over = ([r, g, b, a], below) => [r, g, b].map((c, i) => a * c + (1 - a) * below[i]);

  // The colour and opacity that `fill` or `stroke` really gets; a pattern counts as nothing.
  function paint(element, property) {
    const style = getComputedStyle(element);
    const value = style[property];
    if (value === "none" || value.startsWith("url(")) return [0, 0, 0, 0];
    const colour = rgba(value.toLowerCase() === "currentcolor" ? style.color : value);
    colour[3] *= style[property + "Opacity"];
    for (let e = element; e; e = e.parentElement) colour[3] *= getComputedStyle(e).opacity;
    return colour;
  }

  // What lies behind an element at a point of the window: the background that its ancestors make
  // up, then the shapes of the drawing that are filled before the element is drawn.
  function behind(element, svg, point) {
    const ancestors = [];
    for (let e = element.parentElement; e; e = e.parentElement) ancestors.unshift(e);
    let colour = [255, 255, 255];
    for (const e of ancestors) colour = over(rgba(getComputedStyle(e).backgroundColor), colour);
    for (const shape of svg.querySelectorAll(SHAPES)) {
      const order = shape.compareDocumentPosition(element);
      if (!(order & Node.DOCUMENT_POSITION_FOLLOWING)) break;
      if (shape.closest(NOT_DRAWN)) continue;
      const own = point.matrixTransform(shape.getScreenCTM().inverse());
      if (shape.isPointInFill(own)) colour = over(paint(shape, "fill"), colour);
    }
    return colour;
  }

  function luminance(colour) {
    const linear = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    const [r, g, b] = colour.map((c) => linear(c / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  }

  function contrast(element, property, svg, point) {
    const below = behind(element, svg, point);
    const a = luminance(over(paint(element, property), below)) + 0.05;
    const b = luminance(below) + 0.05;
    return Math.max(a, b) / Math.min(a, b);
  }

  // What is there in inches and in centimetres is looked at in both, one after the other.
  const root = document.documentElement;
  const units = document.querySelector(".foldmark-units") ? ["inch", "metric"] : [""];
  const all = [...document.querySelectorAll("figure.foldmark")];
  for (const unit of units) {
  if (unit) root.dataset.foldmark = unit;
  const other = { inch: ".foldmark-metric", metric: ".foldmark-inch" }[unit];
  const figures = all.filter((figure) => !other || !figure.closest(other));
  figures.forEach((figure, index) => {
    const svgs = [...figure.querySelectorAll("svg")].filter((svg) => !svg.ownerSVGElement);
    const title = figure.querySelector("figcaption")?.textContent.trim() || svgs[0]?.getAttribute("aria-label");
    const complain = (text) => complaints.push(`figure “${title || index + 1}”: ${text}`);
    if (svgs.length === 0) complain("has no drawing");
    const boxes = [];
    for (const svg of svgs) {
      // What a screen reader says of it; nothing of a sign in a legend.
      const isNamed = svg.getAttribute("role") === "img" && svg.getAttribute("aria-label")?.trim();
      const isHidden = svg.getAttribute("aria-hidden") === "true";
      if (!isHidden && !isNamed) complain("has no name of its own for a screen reader");
      // It would be found as text of the page.
      if (svg.querySelector("title, desc")) complain("has a name that a search finds");
      const frame = svg.getBoundingClientRect();
      if (!(frame.width > 0 && frame.height > 0)) {
        complain(`the drawing is ${frame.width} by ${frame.height} px`);
        continue;
      }
      for (const text of svg.querySelectorAll("text, tspan")) {
        if (!text.textContent.trim() || text.closest(NOT_DRAWN)) continue;
        const box = text.getBoundingClientRect();
        const middle = new DOMPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);
        const ratio = contrast(text, "fill", svg, middle);
        if (ratio < 4.5) complain(`${quote(text)} has a contrast of ${ratio.toFixed(2)}, not 4.5`);
        if (text.localName === "tspan") continue;
        boxes.push([text, box]);
        const across = Math.max(frame.left - box.left, box.right - frame.right);
        const out = Math.max(frame.top - box.top, box.bottom - frame.bottom, across);
        if (out > 1) complain(`${quote(text)} reaches ${out.toFixed(1)} px out of the drawing`);
      }
      for (const line of svg.querySelectorAll(SHAPES)) {
        const style = getComputedStyle(line);
        if (line.closest(NOT_DRAWN) || style.stroke === "none") continue;
        if (parseFloat(style.strokeWidth) === 0) continue;
        // A leader may begin on a dark notch: it is enough that the line can be seen on its way.
        const ratio = Math.max(...[0.3, 0.5, 0.7].map((part) => {
          const place = line.getPointAtLength(line.getTotalLength() * part);
          const point = DOMPoint.fromPoint(place).matrixTransform(line.getScreenCTM());
          return contrast(line, "stroke", svg, point);
        }));
        if (ratio < 3) complain(`a ${name(line)} has a contrast of ${ratio.toFixed(2)}, not 3`);
      }
    }
    // Texts may touch: each box gives up half a pixel on every side.
    const apart = (a, b) => a.right <= b.left + 1 || a.bottom <= b.top + 1;
    boxes.forEach(([text, a], i) => {
      for (const [other, b] of boxes.slice(i + 1)) {
        if (!apart(a, b) && !apart(b, a)) complain(`${quote(text)} overlaps ${quote(other)}`);
      }
    });
  });

  // mdBook's `.content` scrolls by itself, so that the document never gets too wide for it.
  for (const area of [root, ...document.querySelectorAll(".content, main")]) {
    const room = area === root ? window.innerWidth : area.clientWidth;
    if (area.scrollWidth <= room) continue;
    const edge = area.getBoundingClientRect().left + area.clientLeft + room;
    const wide = (e) => e.getBoundingClientRect().right > edge;
    const wider = [...area.querySelectorAll("*")].filter((element) => {
      for (let e = element.parentElement; e !== area; e = e.parentElement) {
        if (getComputedStyle(e).overflowX !== "visible") return false;
      }
      return wide(element) && ![...element.children].some(wide);
    });
    const names = wider.slice(0, 3).map((element) => `${name(element)} ${quote(element)}`);
    const text = `${name(area)} is ${area.scrollWidth} px wide where ${room} px fit`;
    complaints.push(`${text}: ${names.join(", ")}`);
  }
  }
  return { figures: all.length, complaints };
})()
