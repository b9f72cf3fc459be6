// Evaluated in a lesson's page: opens what its doors open, fills it in, and looks at what came of it.
globalThis.panels = (() => {
  const OURS = ".foldmark-panel, .foldmark-bar, .foldmark-door, .foldmark-units";
  const PLACES = {
    door: "main",
    own: '[aria-label="My own objects"]',
    answers: '[aria-label="My answers"]',
    practice: '[aria-label="Practice"]',
    cover: "div.foldmark-panel:has(> .foldmark-field)",
    choice: "div.foldmark-panel:has(.foldmark-choice)",
    bar: ".foldmark-bar",
    units: ".foldmark-units",
  };
  const DOORS = [
    ["own", "Work this with my own objects"],
    ["answers", "Fill in my answers here"],
    ["practice", "Set me another problem"],
    ["cover", "Let me try each step before it is shown"],
  ];
  const place = (name) => {
    const node = document.querySelector(PLACES[name]);
    if (!node) throw new Error(`there is no ${name}`);
    return node;
  };
  const isShown = (node) => node.checkVisibility({ visibilityProperty: true });
  const words = (node) => node.textContent.trim().replace(/\s+/g, " ");
  const name = (node) => {
    if (!node || node === document.body || node === document.documentElement) return "<body>";
    const label = node.getAttribute("aria-label") ?? (node.labels?.[0] && words(node.labels[0]));
    const within = node.closest("section[aria-label]")?.getAttribute("aria-label");
    return `<${node.localName}> “${(label ?? words(node)).slice(0, 40)}”${within ? ` in ${within}` : ""}`;
  };
  const pause = (time) => new Promise((done) => setTimeout(done, time));
  const frames = async () => {
    for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
  };
  async function until(what, is) {
    for (let i = 0; i < 500; i++) {
      if (is()) return;
      await pause(10);
    }
    throw new Error(`it never came to this: ${what}`);
  }

  const find = (where, text) => {
    const all = [...place(where).querySelectorAll("button")].filter(isShown);
    const found = all.find((one) => words(one) === text || one.getAttribute("aria-label")?.endsWith(text));
    if (!found) throw new Error(`no button “${text}” in ${where}, only ${all.map(words).join(", ")}`);
    return found;
  };
  async function open(which) {
    const [, text] = DOORS.find(([name]) => name === which);
    const door = find("door", text);
    door.click();
    await until(`“${text}” is open`, () => door.hidden && document.querySelector(PLACES[which]));
  }
  /** As somebody types it, and goes on; a name has no key. */
  function put(where, key, text) {
    const input = place(where).querySelector(key ? `[data-key="${CSS.escape(key)}"]` : "input:not([data-key])");
    if (!input) throw new Error(`no field ${key} in ${where}`);
    input.focus();
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.blur();
    return input;
  }
  const verdict = (key) =>
    words(document.getElementById(`${place("answers").querySelector(`[data-key="${CSS.escape(key)}"]`).id}-said`));
  /** Into the first cover that is left, a text for each of its fields. */
  function attempt(texts) {
    const inputs = [...place("cover").querySelectorAll("input")];
    inputs.forEach((input, at) => {
      input.value = texts[at % texts.length];
      input.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }

  /** Everything but the covers. */
  async function fill(lesson) {
    for (const [which] of DOORS.slice(0, 3)) await open(which);
    for (let row = 1; row < lesson.rows; row++) find("own", "One more object").click();
    for (const [key, text] of lesson.own) put("own", key, text);
    await until("the figures are one's own", () => place("bar").textContent.includes("for your own objects"));
    put("answers", "", "Ines Vole");
    for (const [key, text, expected] of lesson.answers) {
      put("answers", key, text);
      const told = verdict(key);
      if (!told.startsWith(expected)) throw new Error(`${key} = ${text} should be ${expected}, and is “${told}”`);
    }
    find("practice", "Set a problem").click();
    await until("there is a problem", () => place("practice").querySelector(".foldmark-sheet input"));
    const free = [...place("practice").querySelectorAll(".foldmark-sheet input")].find((input) => !input.readOnly);
    put("practice", free.dataset.key, "999");
    find("practice", "Show the worked key").click();
    for (const details of document.querySelectorAll("details")) details.open = true;
    find("answers", "Copy as text").click();
    await until("the text to copy is there", () => place("answers").querySelector("textarea"));
    place("answers").querySelector(`[data-key="${lesson.answers[0][0]}"]`).focus();
    await settle();
  }
  async function cover() {
    await open("cover");
    attempt(["999"]);
    find("cover", "Check").click();
    for (const details of document.querySelectorAll("details")) details.open = true;
    place("answers").querySelector("[data-key]:not(details *)").focus();
    await settle();
  }
  async function settle() {
    await document.fonts.ready;
    await frames();
    for (const moving of document.getAnimations()) {
      try {
        moving.finish();
      } catch {
        /* It has no end. */
      }
    }
  }

  const controls = () =>
    [...document.querySelectorAll("main :is(button, input, select, textarea, summary)")].filter(
      (node) => node.closest(OURS) && isShown(node),
    );

  /** Controls within a place that a finger may miss. @param {string} place */
  function small(place) {
    return controls().flatMap((node) => {
      if (!node.closest(place)) return [];
      const { width, height } = node.getBoundingClientRect();
      const isNarrow = node.localName === "button" && width < 44;
      return height < 44 || isNarrow ? [`${name(node)} is ${width.toFixed(1)} by ${height.toFixed(1)} px`] : [];
    });
  }

  const tabbed = () => controls().filter((node) => node.tabIndex >= 0);
  function hidden(node) {
    const { left, right, top, bottom } = node.getBoundingClientRect();
    const over = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
    if (!over) return [`${name(node)} has the focus out of sight`];
    return node.contains(over) ? [] : [`${name(node)} has the focus behind ${name(over)}`];
  }
  /** What is wrong with where the focus is, and its place among all controls. */
  async function focused() {
    await frames();
    const node = document.activeElement;
    const at = tabbed().indexOf(node);
    const complaints = [];
    if (at >= 0) {
      const style = getComputedStyle(node);
      const isOutlined =
        style.outlineStyle === "auto" || (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2);
      if (!isOutlined) complaints.push(`${name(node)} does not show that it has the focus`);
    }
    return { at, name: name(node), complaints, hidden: at < 0 ? [] : hidden(node) };
  }
  /** Puts the focus on the first of all controls, and says what there is. */
  function first() {
    const all = tabbed();
    all[0].focus();
    return all.map(name);
  }

  /** The fields that Enter leads from, each with the one that it leads to. @type {[any, any][]} */
  let ways = [];
  function fields() {
    ways = controls()
      // In the field for a code Enter opens the sheet of that code.
      .filter((node) => node.localName === "input" && !node.labels[0]?.textContent.includes("code of a sheet"))
      .map((node) => {
        const all = [...node.closest("section, main").querySelectorAll("input, select")].filter(isShown);
        return [node, all[all.indexOf(node) + 1] ?? node];
      });
    return ways.length;
  }
  const from = (at) => ways[at][0].focus();
  async function arrived(at) {
    await frames();
    const [left, to] = ways[at];
    const there = document.activeElement;
    return there === to ? [] : [`Enter in ${name(left)} leads to ${name(there)}, not ${name(to)}`];
  }

  /** @type {Element | undefined} */
  let awaited;
  let clicks = 0;
  document.addEventListener(
    "click",
    ({ target }) => {
      if (target === awaited) clicks++;
    },
    { capture: true },
  );
  /** Puts the focus on a button that is going to be pressed. */
  function ready(where, text) {
    awaited = find(where, text);
    clicks = 0;
    awaited.focus();
    if (document.activeElement !== awaited) throw new Error(`${name(awaited)} takes no focus`);
  }
  /** How often it was pressed, and where the focus is when it did what it does. */
  async function pressed() {
    await frames();
    await pause(150);
    return { clicks, focus: name(document.activeElement) };
  }
  const isAtEnd = (text) => find("choice", text).getAttribute("aria-disabled") === "true";

  /** @type {string[]} */
  let told = [];
  function listen() {
    const last = new Map();
    new MutationObserver((changes) => {
      const live = "[aria-live], [role='status'], [role='alert']";
      const regions = new Set(
        changes.map(({ target }) => target.closest?.(live) ?? target.parentElement?.closest(live)),
      );
      for (const region of regions) {
        if (!region) continue;
        if (words(region) && words(region) !== last.get(region)) told.push(words(region));
        last.set(region, words(region));
      }
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
  }
  /** What was said aloud since the last time. */
  async function heard(time) {
    await pause(time);
    const now = told;
    told = [];
    return now;
  }
  function go(where, key) {
    const input = place(where).querySelector(`[data-key="${CSS.escape(key)}"]`);
    input.focus();
    input.select();
  }

  return {
    ...{ fill, cover, open, attempt, put, verdict, small, first, focused, fields, from, arrived, ready, pressed },
    ...{ isAtEnd, listen, heard, go },
  };
})();
