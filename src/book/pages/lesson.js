// Made by foldmark. What every page of the book loads: the switch between the systems of units, and the doors to what a
// lesson's page can do. What is behind them is loaded when someone first opens one.
(() => {
  "use strict";
  const STAMP = "{{stamp}}";
  const page = document.documentElement;

  // ---- The systems of units.
  // A table that is wider than its place is scrolled, by keys as well.
  const reach = () => {
    for (const box of document.querySelectorAll("main :is(.table-wrapper, .scroll)")) {
      const isWide = box.scrollWidth > box.clientWidth;
      if (isWide === box.hasAttribute("tabindex")) continue;
      for (const [key, value] of [
        ["tabindex", "0"],
        ["role", "region"],
        ["aria-label", "Table"],
      ]) {
        if (isWide) box.setAttribute(key, value);
        else box.removeAttribute(key);
      }
    }
  };
  const show = (unit) => {
    page.dataset.foldmark = unit;
    for (const button of document.querySelectorAll(".foldmark-units button")) {
      button.setAttribute("aria-pressed", String(button.getAttribute("value") === unit));
    }
    reach();
  };
  for (const group of document.querySelectorAll(".foldmark-units")) {
    group.removeAttribute("hidden");
    group.addEventListener("click", (event) => {
      const unit = event.target instanceof HTMLButtonElement ? event.target.value : "";
      if (!unit) return;
      show(unit);
      keep("units", unit);
    });
  }

  // ---- What is kept on this device. Where nothing may be kept, it lasts as long as the page.
  /** @type {Map<string, string>} What the device would not keep. */
  const unkept = new Map();
  function kept(name) {
    const only = unkept.get(name);
    if (only !== undefined) return only;
    try {
      return localStorage.getItem(`foldmark-${name}`);
    } catch {
      return null;
    }
  }
  function keep(name, text) {
    try {
      localStorage.setItem(`foldmark-${name}`, text);
      unkept.delete(name);
      return true;
    } catch {
      unkept.set(name, text);
      return false;
    }
  }
  window.addEventListener("resize", reach);
  reach();

  const unit = kept("units");
  if (unit === "inch" || unit === "metric") show(unit);

  // ---- The doors. A page that joins all chapters, for printing, has none.
  const lessons = document.querySelectorAll(".foldmark-lesson");
  const lesson = lessons[0];
  if (lessons.length !== 1 || !(lesson instanceof HTMLElement)) return;
  const name = lesson.dataset.lesson ?? "";
  const root = typeof path_to_root === "string" ? path_to_root : "";
  const taken = new Map();

  /** @type {Map<string, Promise<void>>} */
  const loaded = new Map();
  /** Loads a script or a style of the book once. @param {string} file @returns {Promise<void>} */
  function load(file) {
    const known = loaded.get(file);
    if (known) return known;
    const loading = new Promise((done, failed) => {
      const address = `${root}foldmark/${file}?${STAMP}`;
      const node = document.createElement(file.endsWith(".css") ? "link" : "script");
      if (node instanceof HTMLLinkElement) {
        node.rel = "stylesheet";
        node.href = address;
      } else {
        node.src = address;
      }
      node.addEventListener("load", () => done(undefined));
      node.addEventListener("error", () => {
        loaded.delete(file);
        node.remove();
        failed(new Error(`${file} can't be loaded; is the folder “foldmark” beside the pages?`));
      });
      document.head.append(node);
    });
    loaded.set(file, loading);
    return loading;
  }

  const foldmark = {
    name,
    root,
    kept,
    keep,
    load,
    reach,
    taken,
    /** What a loaded script hands over. */
    take: (kind, key, what) => taken.set(`${kind} ${key}`, what),
    /** Set by the panel, once it is there. @type {Foldmark["open"]} */
    open: async () => {},
  };
  globalThis.foldmark = foldmark;

  /** A button after `place`, and what it does. @param {Element} place @param {string} kind @param {string} words */
  function door(place, kind, words) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "foldmark-door";
    button.textContent = words;
    const open = async (isAsked = false) => {
      button.disabled = true;
      try {
        await Promise.all([load("panels.css"), load("panels.js"), load("engine.js"), load(`lessons/${name}.js`)]);
        await foldmark.open(kind, place, button, isAsked);
      } catch (error) {
        button.disabled = false;
        const note = document.createElement("p");
        note.setAttribute("role", "alert");
        note.textContent = error instanceof Error ? error.message : String(error);
        button.after(note);
      }
    };
    button.addEventListener("click", () => open(true));
    place.after(button);
    return open;
  }
  const parts = (block) => [...document.querySelectorAll(`.foldmark-part[data-block="${block}"]`)];
  /** What stood open when the page was left. */
  const again = [];
  for (const part of parts("draft")) {
    const own = door(part, "own", "Work this with my own objects");
    if (kept(`shown-${name}-${part.getAttribute("data-part")}`) === "own") again.push(own);
  }
  const [step] = parts("step");
  if (step) {
    const place = document.createElement("div");
    step.before(place);
    door(place, "try", "Let me try each step before it is shown");
  }
  for (const part of parts("homework")) {
    // Each is put right after the part, so the last comes first.
    door(part, "practice", "Set me another problem");
    const answers = door(part, "answers", "Fill in my answers here");
    if (kept(`shown-${name}-answers`) === "answers") again.push(answers);
  }

  // Who comes back finds the page where it was left, though its panels open only now.
  const marks = [...document.querySelectorAll("main :is(h1, h2, h3, [data-part])")];
  window.addEventListener("pagehide", () => {
    const at = marks.findIndex((mark) => mark.getBoundingClientRect().bottom > 0);
    if (at >= 0) keep(`place-${name}`, JSON.stringify([at, marks[at].getBoundingClientRect().top]));
  });
  if (again.length > 0) {
    Promise.all(again.map((open) => open())).then(() => {
      const [entry] = performance.getEntriesByType("navigation");
      const [at, top] = JSON.parse(kept(`place-${name}`) || "[-1, 0]");
      if (entry instanceof PerformanceNavigationTiming && entry.type !== "navigate" && marks[at]) {
        window.scrollBy(0, marks[at].getBoundingClientRect().top - top);
      } else if (location.hash) {
        document.getElementById(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView();
      }
    });
  }
})();
