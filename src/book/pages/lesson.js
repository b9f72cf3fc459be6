// Made by foldmark. What every page of the book loads: the switch between the systems of units, and the doors to what a
// lesson's page can do. What is behind them is loaded when someone first opens one.
(() => {
  "use strict";
  const STAMP = "{{stamp}}";
  const page = document.documentElement;

  // ---- The systems of units.
  const show = (unit) => {
    page.dataset.foldmark = unit;
    for (const button of document.querySelectorAll(".foldmark-units button")) {
      button.setAttribute("aria-pressed", String(button.getAttribute("value") === unit));
    }
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
  /** @type {Map<string, string>} */
  const memory = new Map();
  function kept(name) {
    try {
      const text = localStorage.getItem(`foldmark-${name}`);
      if (text !== null) return text;
    } catch {
      /* Then only this page remembers. */
    }
    return memory.get(name) ?? null;
  }
  function keep(name, text) {
    memory.set(name, text);
    try {
      localStorage.setItem(`foldmark-${name}`, text);
      return true;
    } catch {
      return false;
    }
  }
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
    taken,
    /** What a loaded script hands over. */
    take: (kind, key, what) => taken.set(`${kind} ${key}`, what),
    /** Set by the panel, once it is there. @type {(kind: string, place: Element, door: Element) => Promise<void>} */
    open: async () => {},
  };
  globalThis.foldmark = foldmark;

  /** A button after `place`, and what it does. @param {Element} place @param {string} kind @param {string} words */
  function door(place, kind, words) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "foldmark-door";
    button.textContent = words;
    const open = async () => {
      button.disabled = true;
      try {
        await Promise.all([load("panels.css"), load("panels.js"), load("engine.js"), load(`lessons/${name}.js`)]);
        await foldmark.open(kind, place, button);
      } catch (error) {
        button.disabled = false;
        const note = document.createElement("p");
        note.setAttribute("role", "alert");
        note.textContent = error instanceof Error ? error.message : String(error);
        button.after(note);
      }
    };
    button.addEventListener("click", open);
    place.after(button);
    return open;
  }
  const parts = (block) => [...document.querySelectorAll(`.foldmark-part[data-block="${block}"]`)];
  for (const part of parts("draft")) {
    const own = door(part, "own", "Work this with my own objects");
    if (kept(`shown-${name}-${part.getAttribute("data-part")}`) === "own") own();
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
    if (kept(`shown-${name}-answers`) === "answers") answers();
  }
})();
