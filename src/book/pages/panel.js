// Made by foldmark. The panels of a lesson: one's own objects, answers, practice, steps to be tried. Nothing here knows
// anything of drafting: what is shown comes from the core, which is asked in `ask`.
(() => {
  "use strict";
  const { name: lessonName, root, kept, keep, load, taken } = globalThis.foldmark;

  // ---------------------------------------------------------------- the core

  /** @type {Promise<(request: object) => any> | undefined} */
  let starting;

  /** The core as a module; it stands in a script as text, since a page opened from a folder may load nothing else. */
  function start() {
    starting ??= (async () => {
      const packed = Uint8Array.from(atob(globalThis.foldmarkEngine), (letter) => letter.charCodeAt(0));
      const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
      const module = await WebAssembly.compile(await new Response(stream).arrayBuffer());
      const fresh = () => /** @type {any} */ (new WebAssembly.Instance(module, {}).exports);
      let core = fresh();
      const ask = (/** @type {object} */ request) => {
        const bytes = new TextEncoder().encode(JSON.stringify(request));
        try {
          const room = core.room(bytes.length);
          new Uint8Array(core.memory.buffer, room, bytes.length).set(bytes);
          // Memory may have grown by then, so it is looked at after the answer.
          const answer = core.answer();
          const [start, length] = new Uint32Array(core.memory.buffer, answer, 2);
          return JSON.parse(new TextDecoder().decode(new Uint8Array(core.memory.buffer, start, length)));
        } catch (error) {
          // It gave up; a new one knows nothing yet.
          core = fresh();
          for (const give of given) ask(give);
          return { fault: `This could not be worked out (${error}).` };
        }
      };
      return ask;
    })();
    return starting;
  }

  /** What the core was given to know. @type {object[]} */
  const given = [];
  /** @type {(request: object) => any} */
  let ask = () => ({});
  /** @type {any} */
  let lesson;
  /** @type {any[]} */
  let drafts = [];

  async function ready() {
    if (lesson) return;
    ask = await start();
    const found = taken.get(`lesson ${lessonName}`);
    await Promise.all(found.exercises.map((/** @type {string} */ name) => learn(name)));
    const chapter = { ask: "chapter", path: found.path, found: found.found };
    given.push(chapter);
    const answer = ask(chapter);
    if (answer.fault) throw new Error(answer.fault);
    drafts = answer.drafts;
    lesson = found;
  }

  /** Has the core read an exercise. @param {string} name */
  async function learn(name) {
    await load(`exercises/${name}.js`);
    const give = { ask: "exercise", name, text: taken.get(`exercise ${name}`) };
    if (given.some((/** @type {any} */ known) => known.ask === "exercise" && known.name === name)) return;
    const answer = ask(give);
    if (answer.fault) throw new Error(answer.fault);
    given.push(give);
  }

  // ---------------------------------------------------------------- the page

  let count = 0;
  const newId = () => `foldmark-${++count}`;

  /**
   * An element. Text is text, whatever stands in it.
   * @param {string} tag @param {Record<string, any>} [attributes] @param {...(Node | string | null | undefined)} inside
   * @returns {any}
   */
  function el(tag, attributes = {}, ...inside) {
    const node = document.createElement(tag);
    for (const [key, value] of Object.entries(attributes)) {
      if (value === undefined || value === null || value === false) continue;
      if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
      else if (key === "value" && "value" in node) /** @type {any} */ (node).value = value;
      else node.setAttribute(key, value === true ? "" : String(value));
    }
    for (const one of inside) if (one !== null && one !== undefined) node.append(one);
    return node;
  }
  const button = (/** @type {string} */ words, /** @type {() => void} */ onclick, attributes = {}) =>
    el("button", { type: "button", onclick, ...attributes }, words);
  /** HTML that the core made. @param {Element} node @param {string} html */
  const fill = (node, html) => {
    node.innerHTML = html;
  };

  /** Says something to who listens rather than looks, once a moment has passed without more. */
  const listener = el("p", { class: "foldmark-hidden", "aria-live": "polite", role: "status" });
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let saying;
  function say(/** @type {string} */ words) {
    clearTimeout(saying);
    saying = setTimeout(() => {
      listener.textContent = words;
    }, 300);
  }

  // ---------------------------------------------------------------- what is kept

  const read = (/** @type {string} */ name, /** @type {any} */ otherwise) => {
    try {
      const value = JSON.parse(kept(name) ?? "null");
      return value && typeof value === "object" ? { ...otherwise, ...value } : otherwise;
    } catch {
      return otherwise;
    }
  };
  let isKept = true;
  const write = (/** @type {string} */ name, /** @type {any} */ value) => {
    isKept = keep(name, JSON.stringify(value));
  };
  const keepingNote = () =>
    isKept
      ? "Kept on this device until you clear it. Nothing leaves it by itself."
      : "This device keeps nothing for this page: save your answers before you leave it.";

  // ---------------------------------------------------------------- one's own objects

  /** What a reader typed, for one exercise, and who wants to know of changes. */
  class Own {
    /** @param {string} exercise @param {number} draft */
    constructor(exercise, draft) {
      this.exercise = exercise;
      this.draft = draft;
      this.key = `own-${exercise}`;
      this.value = this.stored();
      /** @type {Set<(source: any) => void>} */
      this.watchers = new Set();
      // Another window with the same lesson.
      window.addEventListener("storage", (event) => {
        if (event.key !== `foldmark-${this.key}`) return;
        this.value = this.stored();
        this.tell(null);
      });
    }
    stored() {
      const value = read(this.key, { ruler: "", single: {}, table: {}, choice: {} });
      for (const part of ["single", "table", "choice"]) {
        if (typeof value[part] !== "object" || value[part] === null) value[part] = {};
      }
      return value;
    }
    /** @param {any} source */
    changed(source) {
      write(this.key, this.value);
      this.tell(source);
    }
    /** @param {any} source */
    tell(source) {
      for (const watcher of this.watchers) watcher(source);
    }
    /** The rows of a table in which something stands, each with its place. @param {string} table */
    rows(table) {
      const rows = Array.isArray(this.value.table[table]) ? this.value.table[table] : [];
      return rows
        .map((row, at) => ({ row, at }))
        .filter(({ row }) => row && Object.values(row).some((text) => String(text).trim() !== ""));
    }
    /** As the core takes it. */
    asked() {
      const table = Object.fromEntries(
        Object.keys(this.value.table).map((name) => [name, this.rows(name).map(({ row }) => row)]),
      );
      return { ruler: this.value.ruler, single: this.value.single, table, choice: this.value.choice };
    }
    /** Where a fault of the core belongs in the form. @param {string} key */
    place(key) {
      const [, table, row, column] = /^given\.(.+)\.(\d+)\.(.+)$/.exec(key) ?? [];
      const found = table ? this.rows(table)[Number(row) - 1] : undefined;
      return found ? `given.${table}.${found.at + 1}.${column}` : key;
    }
    isEmpty() {
      return (
        Object.keys(this.value.table).every((table) => this.rows(table).length === 0) &&
        Object.values(this.value.single).every((text) => String(text).trim() === "")
      );
    }
    clear() {
      this.value = { ruler: this.value.ruler, single: {}, table: {}, choice: {} };
      this.changed(null);
    }
  }

  /** @type {Map<number, Own>} */
  const owns = new Map();
  const ownOf = (/** @type {number} */ draft) => {
    const own = owns.get(draft) ?? new Own(drafts[draft].exercise, draft);
    owns.set(draft, own);
    return own;
  };

  /** A ruler in the system that the page shows, where nobody has chosen one. */
  const isMetric = () => {
    const shown =
      document.documentElement.dataset.foldmark ??
      document.querySelector(".foldmark-units [aria-pressed='true']")?.getAttribute("value");
    return shown === "metric";
  };

  /**
   * A field for a measurement or a text, with room for what is said of it.
   * @param {{label: string, says?: string, value: string, unit?: string, key?: string, hint?: string, length?: boolean,
   *   fractions?: string[], fixed?: boolean, oninput: (text: string) => void, onchange?: () => void}} what
   */
  function field(what) {
    const id = newId();
    const said = el("p", { class: "foldmark-said", id: `${id}-said` });
    const input = el("input", {
      id,
      value: what.value,
      autocomplete: "off",
      spellcheck: "false",
      maxlength: 200,
      enterkeyhint: "next",
      inputmode: what.length ? "decimal" : undefined,
      placeholder: what.hint,
      readonly: what.fixed,
      "aria-describedby": `${id}-said`,
      "data-key": what.key,
      oninput: () => what.oninput(input.value),
      onchange: () => what.onchange?.(),
    });
    const node = el(
      "div",
      { class: "foldmark-field" },
      el("label", { for: id }, what.label, what.says ? el("small", {}, what.says) : null),
      what.unit
        ? el("div", { class: "foldmark-unit" }, input, el("span", { "aria-hidden": "true" }, what.unit))
        : input,
      said,
    );
    if (what.fractions?.length && !what.fixed) {
      input.addEventListener("focus", () => pad(input, what.fractions ?? []));
    }
    return { node, input, said };
  }

  /** The ruler's fractions under the field that is filled in: a telephone's digits have no line between two numbers. */
  const padNode = el("div", { class: "foldmark-pad" });
  function pad(/** @type {HTMLInputElement} */ input, /** @type {string[]} */ fractions) {
    padNode.replaceChildren(
      ...fractions.map((fraction) =>
        button(
          fraction,
          () => {
            const at = input.selectionStart ?? input.value.length;
            const before = input.value.slice(0, at);
            input.setRangeText(/\d$/.test(before) ? ` ${fraction}` : fraction, at, input.selectionEnd ?? at, "end");
            input.dispatchEvent(new Event("input", { bubbles: true }));
          },
          { tabindex: -1, onpointerdown: (/** @type {Event} */ event) => event.preventDefault() },
        ),
      ),
    );
    (input.closest(".foldmark-row") ?? input.closest(".foldmark-field"))?.append(padNode);
  }

  /**
   * The form for one's own objects.
   * @param {Own} own
   */
  function editor(own) {
    const node = el("div");
    const me = {};
    /** @type {any} */
    let form;
    /** What decides about which fields there are. */
    const shape = () =>
      JSON.stringify([
        form?.ruler,
        form?.givens.map((/** @type {any} */ given) => [
          given.is_needed,
          given.columns.map((/** @type {any} */ column) => column.is_needed),
        ]),
      ]);

    const changed = () => {
      const before = shape();
      own.changed(me);
      form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
      if (shape() !== before) draw();
    };
    const length = (/** @type {any} */ is) => (is ? { length: true, unit: form.unit, fractions: form.fractions } : {});

    function table(/** @type {any} */ given) {
      const rows = Array.isArray(own.value.table[given.name]) ? own.value.table[given.name] : [];
      if (rows.length === 0) rows.push({});
      own.value.table[given.name] = rows;
      const card = (/** @type {Record<string, string>} */ row, /** @type {number} */ at) => {
        const cell = (/** @type {string} */ name, /** @type {any} */ more) =>
          field({
            value: row[name] ?? "",
            key: `given.${given.name}.${at + 1}.${name}`,
            ...more,
            oninput: (text) => {
              row[name] = text;
              changed();
            },
          }).node;
        const columns = given.columns.filter((/** @type {any} */ column) => column.is_needed);
        return el(
          "fieldset",
          {},
          el("legend", {}, `${given.each} ${at + 1}`),
          el(
            "div",
            { class: "foldmark-row" },
            cell("name", { label: "what is it?" }),
            ...columns.map((/** @type {any} */ column) =>
              cell(column.name, {
                label: column.title,
                says: column.says,
                ...length(column.is_length),
                ...(column.is_length ? {} : { length: true }),
              }),
            ),
          ),
          rows.length > 1
            ? button(`Take out ${given.each} ${at + 1}`, () => {
                rows.splice(at, 1);
                changed();
                draw();
              })
            : null,
        );
      };
      return el(
        "div",
        { role: "group", "aria-label": given.title },
        given.says ? el("p", {}, given.says) : null,
        ...rows.map(card),
        el("p", { class: "foldmark-said", "data-key": `given.${given.name}` }),
        rows.length < given.most
          ? button(`One more ${given.each}`, () => {
              rows.push({});
              changed();
              draw();
              focusLast();
            })
          : el("p", {}, `There may be ${given.most} of them, and no more.`),
      );
    }
    const focusLast = () =>
      /** @type {HTMLElement | null} */ (
        [...node.querySelectorAll("fieldset")].at(-1)?.querySelector("input")
      )?.focus();

    function single(/** @type {any} */ given) {
      if (given.kind === "choice") {
        const id = newId();
        const now = own.value.single[given.name] || given.usual;
        const select = el(
          "select",
          {
            id,
            "data-key": `given.${given.name}`,
            onchange: () => {
              own.value.single[given.name] = select.value;
              changed();
            },
          },
          ...given.words.map((/** @type {string[]} */ [word, says]) =>
            el("option", { value: word, selected: word === now }, says || word),
          ),
        );
        return el(
          "div",
          { class: "foldmark-field" },
          el("label", { for: id }, given.title, given.says ? el("small", {}, given.says) : null),
          select,
        );
      }
      return field({
        label: given.title,
        says: given.says,
        value: own.value.single[given.name] ?? "",
        key: `given.${given.name}`,
        hint: given.usual && `usually ${given.usual}`,
        ...length(given.kind === "length"),
        oninput: (text) => {
          own.value.single[given.name] = text;
          changed();
        },
      }).node;
    }

    function draw() {
      form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
      const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.key : undefined;
      const id = newId();
      const ruler = el(
        "select",
        {
          id,
          onchange: () => {
            own.value.ruler = ruler.value;
            changed();
          },
        },
        ...form.rulers.map((/** @type {string} */ one) =>
          el("option", { value: one, selected: one === form.ruler }, one),
        ),
      );
      const needed = form.givens.filter((/** @type {any} */ given) => given.is_needed);
      const tables = needed.filter((/** @type {any} */ given) => given.kind === "table");
      const words = needed.filter((/** @type {any} */ given) => given.kind === "choice");
      const rest = needed.filter((/** @type {any} */ given) => given.kind !== "table" && given.kind !== "choice");
      const usual = tables.length > 0 ? rest.filter((/** @type {any} */ given) => given.usual) : [];
      const isOpen = node.querySelector("details")?.open;
      node.replaceChildren(
        el("div", { class: "foldmark-field" }, el("label", { for: id }, "Smallest tick of the ruler"), ruler),
        ...words.map(single),
        ...tables.map(table),
        ...rest.filter((/** @type {any} */ given) => !usual.includes(given)).map(single),
        usual.length
          ? el(
              "details",
              { open: isOpen },
              el("summary", {}, `What else is given: ${usual.length} usual values`),
              ...usual.map(single),
            )
          : "",
      );
      if (focused)
        /** @type {HTMLElement | null} */ (node.querySelector(`[data-key="${CSS.escape(focused)}"]`))?.focus();
    }

    /** Puts each fault under its field; those that have none are told in `rest`. */
    function blame(/** @type {any[]} */ faults, /** @type {HTMLElement} */ rest) {
      const keys = new Map(faults.map((fault) => [own.place(fault.key), fault.message]));
      for (const input of node.querySelectorAll("[data-key]")) {
        const message = keys.get(input.dataset.key) ?? "";
        const said = input.matches("p") ? input : document.getElementById(`${input.id}-said`);
        if (said && said.textContent !== message) said.textContent = message;
        if (!input.matches("p")) input.toggleAttribute("aria-invalid", false);
        if (message && !input.matches("p")) input.setAttribute("aria-invalid", "true");
        keys.delete(input.dataset.key);
      }
      rest.textContent = [...keys.values()].join(" ");
    }

    if (!own.value.ruler) {
      const rulers = ask({ ask: "form", exercise: own.exercise, own: own.asked() }).rulers;
      own.value.ruler = rulers.find((/** @type {string} */ one) => one.includes("mm") === isMetric()) ?? rulers[0];
    }
    draw();
    own.watchers.add((source) => {
      if (source !== me) draw();
    });
    return { node, blame };
  }

  /** Objects that were typed in another lesson and fit into this one. @param {Own} own */
  function borrowed(own) {
    if (!own.isEmpty()) return null;
    const form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
    const tables = form.givens.filter((/** @type {any} */ given) => given.kind === "table");
    for (const exercise of Object.keys(lesson.taught)) {
      if (exercise === own.exercise) continue;
      const other = read(`own-${exercise}`, { table: {} });
      for (const table of tables) {
        const rows = Object.values(other.table ?? {}).find(
          (rows) =>
            Array.isArray(rows) &&
            rows.some((row) => row?.name && table.columns.some((/** @type {any} */ column) => row[column.name])),
        );
        if (!rows) continue;
        const names = ["name", ...table.columns.map((/** @type {any} */ column) => column.name)];
        const take = () => {
          own.value.ruler = other.ruler || own.value.ruler;
          own.value.table[table.name] = rows
            .slice(0, table.most)
            .map((/** @type {any} */ row) =>
              Object.fromEntries(names.filter((name) => row[name]).map((name) => [name, String(row[name])])),
            );
          own.changed(null);
          offer.remove();
        };
        const offer = el(
          "p",
          {},
          `You measured ${rows
            .map((/** @type {any} */ row) => row.name)
            .filter(Boolean)
            .join(", ")} for another lesson. `,
          button("Use them here", take),
        );
        return offer;
      }
    }
    return null;
  }

  // ---------------------------------------------------------------- the lesson for one's own objects

  /** The parts as the book has them. @type {Map<Element, string>} */
  const originals = new Map();

  function openOwn(/** @type {HTMLElement} */ part, /** @type {HTMLElement} */ door) {
    const draft = drafts.findIndex((one) => String(one.part) === part.dataset.part);
    const own = ownOf(draft);
    const shownKey = `shown-${lessonName}-${part.dataset.part}`;
    const form = editor(own);
    const rest = el("p", { class: "foldmark-said", role: "status" });
    const choices = el("div");
    /** @type {Map<string, any>} */
    const steppers = new Map();
    const panel = el(
      "section",
      { class: "foldmark-panel", "aria-label": "My own objects" },
      el("p", { class: "foldmark-title" }, "My own objects"),
      borrowed(own),
      form.node,
      rest,
      choices,
      el("p", {}, el("small", {}, keepingNote())),
      button("Clear all of it", () => {
        own.clear();
        back();
      }),
    );
    door.after(panel);
    door.hidden = true;

    const whose = el("span");
    const bar = el(
      "div",
      { class: "foldmark-bar", role: "region", "aria-label": "Whose figures" },
      whose,
      button("Back to the lesson’s kit", () => back()),
    );
    const main = part.closest("main") ?? document.body;
    main.append(bar);

    function back() {
      watch.disconnect();
      late.clear();
      for (const [node, html] of originals) if (node.innerHTML !== html) fill(node, html);
      for (const stepper of steppers.values()) stepper.node.remove();
      steppers.clear();
      main.classList.remove("foldmark-own");
      bar.remove();
      panel.remove();
      own.watchers.delete(update);
      door.hidden = false;
      door.toggleAttribute("disabled", false);
      keep(shownKey, "");
      door.focus();
      say("The figures are those of the lesson’s kit again.");
    }

    let isDue = false;
    function update() {
      if (isDue) return;
      isDue = true;
      // Once a frame, however quickly someone types.
      requestAnimationFrame(() => {
        isDue = false;
        if (panel.isConnected) work();
      });
    }
    /** @type {Map<string, string>} */
    const shown = new Map();

    // What can be seen is put into the page at once, the rest when there is time.
    /** @type {Map<string, Element[]>} */
    const parts = new Map();
    for (const node of main.querySelectorAll("[data-part]")) {
      // A kit's own story keeps its numbers; the form to hand in is one for all.
      if (node.closest(".foldmark-kit") || node.getAttribute("data-block") === "homework") continue;
      const at = node.getAttribute("data-part") ?? "";
      parts.set(at, [...(parts.get(at) ?? []), node]);
    }
    /** @type {Map<Element, string>} */
    const late = new Map();
    /** @type {Set<Element>} */
    const near = new Set();
    const put = (/** @type {Element} */ node) => {
      const html = late.get(node);
      if (html === undefined) return;
      late.delete(node);
      fill(node, html);
    };
    const watch = new IntersectionObserver(
      (entries) => {
        for (const { target, isIntersecting } of entries) {
          if (isIntersecting) {
            near.add(target);
            put(target);
          } else near.delete(target);
        }
      },
      { rootMargin: "50%" },
    );
    for (const nodes of parts.values()) nodes.forEach((node) => watch.observe(node));
    let isWaiting = false;
    const idle =
      window.requestIdleCallback ??
      ((/** @type {any} */ call) => setTimeout(() => call({ timeRemaining: () => 8 }), 60));
    function whenIdle() {
      if (isWaiting || late.size === 0) return;
      isWaiting = true;
      idle((/** @type {{timeRemaining: () => number}} */ deadline) => {
        isWaiting = false;
        const begun = performance.now();
        for (const node of [...late.keys()]) {
          put(node);
          if (deadline.timeRemaining() < 4 || performance.now() - begun > 8) break;
        }
        whenIdle();
      });
    }

    function work() {
      const worked = ask({ ask: "lesson", chapter: lesson.path, draft, own: own.asked() });
      const faults = own.isEmpty() && Object.keys(own.value.table).length > 0 ? [] : (worked.faults ?? []);
      form.blame(faults, rest);
      if (worked.fault) rest.textContent = worked.fault;
      const isWorked = !worked.fault && worked.faults.length === 0;
      whose.textContent = isWorked
        ? "The figures are for your own objects."
        : shown.size > 0
          ? "The figures are for your objects as they were before the last change."
          : "The figures are the lesson’s until your objects are complete.";
      if (!isWorked) return;
      main.classList.add("foldmark-own");
      for (const [at, html] of Object.entries(worked.parts)) {
        if (shown.get(at) === html) continue;
        shown.set(at, html);
        for (const node of parts.get(at) ?? []) {
          if (!originals.has(node)) originals.set(node, node.innerHTML);
          late.set(node, html);
          if (near.has(node)) put(node);
        }
      }
      whenIdle();
      for (const choice of worked.choices) stepper(choice);
    }

    function stepper(/** @type {any} */ choice) {
      let known = steppers.get(choice.step);
      if (!known) {
        const go = (/** @type {"less" | "more"} */ way) => () => {
          const to = steppers.get(choice.step).choice[way];
          if (!to) return;
          own.value.choice[choice.step] = to;
          own.changed(null);
          say(`${choice.title}: ${to}`);
        };
        const value = el("output");
        const meter = el("meter", { min: 0, max: 1, "aria-hidden": "true" });
        const low = el("p"),
          high = el("p");
        const less = button("−", go("less"), { "aria-label": `${choice.title}, a tick less` });
        const more = button("+", go("more"), { "aria-label": `${choice.title}, a tick more` });
        const node = el(
          "div",
          { class: "foldmark-panel" },
          el("p", { class: "foldmark-title" }, `${choice.title}: your choice`),
          el(
            "div",
            { class: "foldmark-choice", role: "group", "aria-label": choice.title },
            less,
            value,
            more,
            meter,
            low,
            high,
          ),
        );
        const place = choice.part === null ? null : main.querySelector(`[data-part="${choice.part}"]`);
        if (place) place.after(node);
        else choices.append(node);
        known = { node, value, meter, low, high, less, more };
        steppers.set(choice.step, known);
      }
      known.choice = choice;
      known.value.textContent = choice.value;
      known.meter.value = choice.place;
      known.low.textContent = choice.low;
      known.high.textContent = choice.high;
      // What holds it at its end stands out; the button stays, so that who is on it does not lose it.
      known.low.style.fontWeight = choice.less ? "" : "bold";
      known.high.style.fontWeight = choice.more ? "" : "bold";
      known.less.setAttribute("aria-disabled", String(!choice.less));
      known.more.setAttribute("aria-disabled", String(!choice.more));
    }

    own.watchers.add(update);
    keep(shownKey, "own");
    work();
    return panel;
  }

  // ---------------------------------------------------------------- answers

  /**
   * Fields for the answers of a sheet, judged one by one.
   * @param {{asked: () => any, answers: Record<string, string[]>, save: () => void, letters?: Record<string, string>,
   *   fixed?: Record<string, string[]>, shown?: Record<string, string[]>, fractions: () => string[], unit: () => string,
   *   outline?: string, after?: (marked: any) => void}} sheet
   */
  function answers(sheet) {
    const drawn = el("div", { class: "foldmark-drawn" });
    const list = el("div");
    const remarks = el("p", { class: "foldmark-said" });
    const tally = el("p");
    const node = el("div", { class: "foldmark-sheet" }, drawn, el("div", {}, remarks, list, tally));
    /** @type {Map<string, any>} */
    let fields = new Map();
    let shape = "";

    const put = (/** @type {any} */ one, /** @type {string} */ text) => {
      const values = (sheet.answers[one.step] ??= []);
      while (values.length <= one.row) values.push("");
      values[one.row] = text;
      sheet.save();
    };
    function draw(/** @type {any} */ marked) {
      fields = new Map();
      list.replaceChildren(
        ...marked.answers.map((/** @type {any} */ one) => {
          const key = `${one.step} ${one.row}`;
          const letter = sheet.letters?.[one.step];
          const shows = sheet.shown?.[one.step]?.[one.row];
          const fixed = sheet.fixed?.[one.step] !== undefined;
          const made = field({
            label: `${letter ? `${letter}  ` : ""}${one.label}${one.limits ? " (your choice)" : ""}`,
            says: [shows ? `The draft shows ${shows}.` : "", one.limits, fixed ? "Filled in for you." : ""]
              .filter(Boolean)
              .join(" "),
            value: sheet.answers[one.step]?.[one.row] ?? "",
            key,
            fixed,
            length: one.is_length,
            unit: one.is_length ? sheet.unit() : "",
            fractions: one.is_length ? sheet.fractions() : [],
            oninput: (text) => {
              put(one, text);
              made.said.replaceChildren();
            },
            onchange: () => update(one),
          });
          fields.set(key, made);
          return made.node;
        }),
      );
    }
    /** Judges everything anew; of `touched` the verdict is said aloud. */
    function update(/** @type {any} */ touched = undefined) {
      const marked = ask({ ask: "mark", ...sheet.asked() });
      if (marked.fault) {
        remarks.textContent = marked.fault;
        return marked;
      }
      if (marked.faults.length === 0) {
        const now = JSON.stringify([
          marked.answers.map((/** @type {any} */ one) => [one.label, one.limits]),
          sheet.unit(),
        ]);
        if (now !== shape) draw(marked);
        shape = now;
      }
      for (const one of marked.answers) {
        const made = fields.get(`${one.step} ${one.row}`);
        const said = made?.said;
        if (!said) continue;
        const verdict = one.sign ? `${one.sign.symbol} ${one.sign.words}` : "";
        const words = [verdict && `${verdict}.`, ...one.says].filter(Boolean).join(" ");
        if (said.dataset.words === words + one.likely) continue;
        said.dataset.words = words + one.likely;
        said.replaceChildren(words);
        if (one.likely && one.sign) {
          said.append(
            ` Did you mean ${one.likely}? `,
            button("Yes", () => {
              made.input.value = one.likely;
              put(one, one.likely);
              made.input.focus();
              update(one);
            }),
          );
        }
        if (touched && touched.step === one.step && touched.row === one.row && words) say(`${one.label}: ${words}`);
      }
      fill(drawn, marked.figure || sheet.outline || "");
      node.classList.toggle("drawn", drawn.childNodes.length > 0);
      remarks.textContent = marked.remarks.join(" ");
      const filled = Object.values(sheet.answers)
        .flat()
        .filter((text) => String(text).trim() !== "").length;
      tally.textContent =
        marked.faults.length > 0
          ? ""
          : lesson.show === "none"
            ? `${filled} of ${marked.asked} filled in.`
            : `${marked.right} of ${marked.asked} right.`;
      if (touched) remember(marked, sheet.asked().exercise);
      sheet.after?.(marked);
      return marked;
    }
    return { node, update };
  }

  /** Which mistakes came up on this device, for problems in which they matter. */
  function remember(/** @type {any} */ marked, /** @type {string} */ exercise) {
    if (marked.slips.length === 0) return;
    const slips = read(`slips-${exercise}`, {});
    for (const slip of new Set(marked.slips)) slips[slip] = (Number(slips[slip]) || 0) + 1;
    write(`slips-${exercise}`, slips);
  }

  /** What can be done with a sheet that is filled in. */
  function handing(/** @type {() => any} */ asked, /** @type {() => void} */ clear, /** @type {() => Node[]} */ paper) {
    const told = el("p", { class: "foldmark-said", role: "status" });
    const file = () => {
      const file = ask({ ask: "file", ...asked() });
      told.textContent =
        file.fault ?? (asked().student.trim() ? "" : "Put in your name first, so that the sheet is known as yours.");
      return told.textContent ? null : file;
    };
    const save = () => {
      const made = file();
      if (!made) return;
      const address = URL.createObjectURL(new Blob([made.text], { type: "application/toml" }));
      const link = el("a", { href: address, download: made.name });
      link.click();
      setTimeout(() => URL.revokeObjectURL(address), 10000);
      told.textContent = `Saved as ${made.name}. Hand in that file.`;
    };
    const send = async () => {
      const made = file();
      if (!made) return;
      const text = new File([made.text], made.name.replace(/toml$/, "txt"), { type: "text/plain" });
      const shared = navigator.canShare?.({ files: [text] })
        ? { files: [text] }
        : { title: made.name, text: made.text };
      try {
        await navigator.share(shared);
        told.textContent = "Handed to the program that you chose.";
      } catch {
        told.textContent = "Nothing was sent.";
      }
    };
    const copy = async () => {
      const made = file();
      if (!made) return;
      try {
        await navigator.clipboard.writeText(made.text);
        told.textContent = "Copied. Paste it into a message, and send that.";
      } catch {
        const area = el("textarea", { readonly: true, rows: 8, "aria-label": "Your answers as text" });
        area.value = made.text;
        told.replaceChildren("Copy this, and paste it into a message:", area);
        area.select();
      }
    };
    const print = () => {
      const page = el("div", { class: "foldmark-paper" }, ...paper());
      document.body.append(page);
      document.body.classList.add("foldmark-printing");
      window.addEventListener(
        "afterprint",
        () => {
          page.remove();
          document.body.classList.remove("foldmark-printing");
        },
        { once: true },
      );
      window.print();
    };
    return el(
      "div",
      {},
      "share" in navigator ? button("Send", send) : null,
      button("Save my answers", save),
      button("Copy as text", copy),
      button("Print", print),
      button("Clear my answers", () => {
        clear();
        told.textContent = "Cleared.";
      }),
      told,
      el("p", {}, el("small", {}, keepingNote())),
    );
  }

  /** A sheet on paper: whose, what is given, every measure with what was found. */
  function onPaper(
    /** @type {string} */ title,
    /** @type {string} */ student,
    /** @type {Node[]} */ givens,
    /** @type {any} */ marked,
  ) {
    const row = (/** @type {any} */ one) =>
      el(
        "tr",
        {},
        el("th", { scope: "row" }, one.label),
        el("td", {}, one.written || "—"),
        el("td", {}, one.sign ? `${one.sign.symbol} ${one.sign.words}` : ""),
      );
    const figure = el("div");
    fill(figure, marked.figure ?? "");
    return [
      el("p", {}, el("strong", {}, title), ` · ${student}`),
      ...givens,
      el("table", {}, el("tbody", {}, ...(marked.answers ?? []).map(row))),
      figure,
    ];
  }

  /** One's own objects in a table. @param {Own} own @returns {Node[]} */
  function summary(own) {
    const form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
    const needed = form.givens.filter((/** @type {any} */ given) => given.is_needed);
    return needed.map((/** @type {any} */ given) => {
      if (given.kind !== "table") {
        const text = own.value.single[given.name] || given.usual;
        const word = given.words.find((/** @type {string[]} */ [word]) => word === text);
        return el("div", {}, `${given.title}: ${word?.[1] ?? text}`);
      }
      const columns = given.columns.filter((/** @type {any} */ column) => column.is_needed);
      const rows = own
        .rows(given.name)
        .map(({ row }) =>
          el(
            "tr",
            {},
            el("th", { scope: "row" }, row.name ?? ""),
            ...columns.map((/** @type {any} */ column) => el("td", {}, row[column.name] ?? "")),
          ),
        );
      const head = el(
        "tr",
        {},
        el("th", { scope: "col" }, given.each),
        ...columns.map((/** @type {any} */ column) => el("th", { scope: "col" }, column.title)),
      );
      return el("div", { class: "table-wrapper" }, el("table", {}, el("thead", {}, head), el("tbody", {}, ...rows)));
    });
  }

  const student = () => read("student", { name: "" });
  function nameField() {
    return field({
      label: "Your name",
      value: student().name,
      oninput: (text) => write("student", { name: text }),
    }).node;
  }

  function openAnswers(/** @type {HTMLElement} */ part, /** @type {HTMLElement} */ door) {
    // The draft of a lesson's homework is its first open one.
    const draft = 0;
    const own = ownOf(draft);
    const key = `answers-${own.exercise}`;
    const kept = read(key, { answers: {} });
    if (typeof kept.answers !== "object" || kept.answers === null) kept.answers = {};
    const save = () => write(key, kept);
    const asked = () => ({
      exercise: own.exercise,
      student: student().name,
      show: lesson.show,
      own: own.asked(),
      chapter: lesson.path,
      draft,
      answers: kept.answers,
    });
    const form = editor(own);
    const rest = el("p", { class: "foldmark-said", role: "status" });
    const objects = el(
      "details",
      { open: own.isEmpty() },
      el("summary", {}, "My objects"),
      borrowed(own),
      form.node,
      rest,
    );
    const still = el("p", { class: "foldmark-said", role: "status" });
    const ruled = () => ask({ ask: "form", exercise: own.exercise, own: own.asked() });
    let marked = {};
    const sheet = answers({
      asked,
      answers: kept.answers,
      save,
      fractions: () => ruled().fractions,
      unit: () => ruled().unit,
      after: (now) => {
        marked = now;
        const faults = own.isEmpty() && Object.keys(own.value.table).length > 0 ? [] : now.faults;
        form.blame(faults, rest);
        still.textContent = now.is_lessons
          ? "These are still the lesson’s objects and values. Did you draft for your own? Then put those in under “My objects”."
          : "";
        waiting.hidden = now.faults.length === 0;
      },
    });
    const waiting = el("p", {}, "Put in your objects first; then every measure of the sheet has its line here.");
    const title = ask({ ask: "form", exercise: own.exercise, own: own.asked() }).title;
    const panel = el(
      "section",
      { class: "foldmark-panel", "aria-label": "My answers" },
      el("p", { class: "foldmark-title" }, "My answers"),
      nameField(),
      objects,
      still,
      waiting,
      sheet.node,
      handing(
        asked,
        () => {
          for (const step of Object.keys(kept.answers)) delete kept.answers[step];
          save();
          for (const input of sheet.node.querySelectorAll("input")) input.value = "";
          sheet.update();
        },
        () => onPaper(title, student().name, summary(own), marked),
      ),
      button("Close", () => {
        panel.remove();
        door.hidden = false;
        door.toggleAttribute("disabled", false);
        own.watchers.delete(update);
        keep(`shown-${lessonName}-answers`, "");
        door.focus();
      }),
    );
    const update = () => {
      sheet.update();
    };
    own.watchers.add(update);
    window.addEventListener("storage", (event) => {
      if (event.key !== `foldmark-${key}` || !panel.isConnected) return;
      Object.assign(kept.answers, read(key, { answers: {} }).answers);
      for (const [at, values] of Object.entries(kept.answers)) {
        values.forEach((/** @type {string} */ text, /** @type {number} */ row) => {
          const input = sheet.node.querySelector(`[data-key="${CSS.escape(`${at} ${row}`)}"]`);
          if (input instanceof HTMLInputElement && input !== document.activeElement) input.value = text;
        });
      }
      sheet.update();
    });
    door.after(panel);
    door.hidden = true;
    keep(`shown-${lessonName}-answers`, "answers");
    sheet.update();
    return panel;
  }

  // ---------------------------------------------------------------- practice

  function openPractice(/** @type {HTMLElement} */ part, /** @type {HTMLElement} */ door) {
    const exercise = drafts[0].exercise;
    const key = `practice-${exercise}`;
    const kept = read(key, { code: "", level: 1, ruler: "", slips: 0, answers: {}, half: {}, done: 0, tried: false });
    const save = () => write(key, kept);
    const form = ask({ ask: "form", exercise, own: { ruler: "" } });
    const told = el("p", { class: "foldmark-said", role: "status" });
    const problem = el("div");
    const choose = (
      /** @type {string} */ label,
      /** @type {string} */ name,
      /** @type {[any, string, string?][]} */ options,
    ) => {
      const id = newId();
      const says = el("small", { "aria-live": "polite" });
      const select = el(
        "select",
        {
          id,
          onchange: () => {
            kept[name] = options[select.selectedIndex][0];
            tell();
            save();
          },
        },
        ...options.map(([value, words]) =>
          el("option", { value, selected: String(value) === String(kept[name]) }, words),
        ),
      );
      const tell = () => {
        says.textContent = options[select.selectedIndex]?.[2] ?? "";
      };
      tell();
      return el("div", { class: "foldmark-field" }, el("label", { for: id }, label), select, says);
    };
    if (!form.rulers.includes(kept.ruler))
      kept.ruler = form.rulers.find((/** @type {string} */ one) => one.includes("mm") === isMetric()) ?? form.rulers[0];
    if (!form.levels.some((/** @type {any[]} */ [level]) => level === kept.level))
      kept.level = form.levels[0]?.[0] ?? 0;

    /** Shows a problem; `fresh` has no answers yet. */
    async function show(/** @type {any} */ set, /** @type {string} */ from, /** @type {boolean} */ fresh) {
      if (set.fault) {
        told.textContent = `${set.fault}.`;
        return;
      }
      told.textContent = "";
      if (fresh) {
        // After the worked draft some steps stand filled in; then none.
        const half = kept.done === 0 ? set.half : {};
        Object.assign(kept, { code: set.code, answers: { ...half }, half, done: kept.done + 1, tried: false });
        save();
      }
      const asked = () => ({
        exercise: from,
        student: student().name,
        show: lesson.show === "none" ? "coach" : lesson.show,
        code: kept.code,
        own: { ruler: set.ruler },
        answers: kept.answers,
      });
      const fractions = ask({ ask: "form", exercise: from, own: { ruler: set.ruler } }).fractions;
      let marked = {};
      const sheet = answers({
        asked,
        answers: kept.answers,
        save,
        letters: set.letters,
        fixed: kept.half,
        shown: set.shown,
        fractions: () => fractions,
        unit: () => set.unit,
        outline: set.outline,
        after: (now) => {
          marked = now;
        },
      });
      const set_ = el("div");
      fill(set_, set.html);
      const keyed = el("div", { hidden: true });
      problem.replaceChildren(
        el("p", {}, "Code of this sheet: ", el("code", {}, set.code)),
        set.matters
          ? el("p", {}, `In this one “${set.matters}” matters: a mistake was made there before on this device.`)
          : "",
        set_,
        sheet.node,
        button("Show the worked key", () => {
          fill(keyed, set.key);
          keyed.hidden = false;
          keyed.scrollIntoView({ block: "nearest" });
        }),
        keyed,
        el(
          "details",
          {},
          el("summary", {}, "Hand this sheet in"),
          nameField(),
          handing(
            asked,
            () => {
              for (const step of Object.keys(kept.answers)) if (!(step in kept.half)) delete kept.answers[step];
              save();
              show(set, from, false);
            },
            () => onPaper(form.title, student().name, [el("p", {}, `Code: ${set.code}`)], marked),
          ),
        ),
      );
      sheet.update();
    }
    const fresh = () => {
      const slips = read(`slips-${exercise}`, {});
      const weak = Object.keys(slips)
        .sort((one, other) => slips[other] - slips[one])
        .slice(0, 3);
      const seed = crypto.getRandomValues(new Uint32Array(1))[0];
      show(
        ask({ ask: "problem", exercise, level: kept.level, ruler: kept.ruler, seed, slips: kept.slips, weak }),
        exercise,
        true,
      );
    };
    async function coded(/** @type {string} */ code) {
      let set = ask({ ask: "coded", exercise, code });
      if (!set.fault) return show(set, exercise, true);
      // Perhaps it is of a sheet that belongs to another lesson.
      for (const [other, page] of Object.entries(lesson.taught)) {
        await learn(other);
        set = other === exercise ? set : ask({ ask: "coded", exercise: other, code });
        if (set.fault || other === exercise) continue;
        told.replaceChildren(
          "This code belongs to another lesson: ",
          el("a", { href: `${root}${page}` }, "open it there"),
          ".",
        );
        return;
      }
      told.textContent = `${ask({ ask: "coded", exercise, code }).fault}.`;
    }
    const code = field({ label: "Or the code of a sheet", value: "", oninput: () => {} });
    const panel = el(
      "section",
      { class: "foldmark-panel", "aria-label": "Practice" },
      el("p", { class: "foldmark-title" }, "Another problem"),
      choose(
        "Level",
        "level",
        form.levels.length
          ? form.levels.map((/** @type {any[]} */ [level, says]) => [level, `Level ${level}`, says])
          : [[0, "any"]],
      ),
      choose(
        "Smallest tick of the ruler",
        "ruler",
        form.rulers.map((/** @type {string} */ one) => [one, one]),
      ),
      form.has_slips
        ? choose("What to do", "slips", [
            [0, "Draft it"],
            [1, "Find one slip in a finished draft"],
            [2, "Find two slips in a finished draft"],
          ])
        : null,
      button("Set a problem", fresh),
      code.node,
      button("Open the sheet of this code", () => coded(code.input.value)),
      told,
      problem,
      button("Close", () => {
        panel.remove();
        door.hidden = false;
        door.toggleAttribute("disabled", false);
        door.focus();
      }),
    );
    door.after(panel);
    door.hidden = true;
    if (kept.code) {
      const again = ask({ ask: "coded", exercise, code: kept.code });
      if (!again.fault) show(again, exercise, false);
    }
    return panel;
  }

  // ---------------------------------------------------------------- steps to be tried

  function openTry(/** @type {HTMLElement} */ place, /** @type {HTMLElement} */ door) {
    /** @type {{node: HTMLElement, show: () => void}[]} */
    const covers = [];
    for (const [draft, { steps }] of drafts.entries()) {
      for (const [step, at] of steps) {
        const part = document.querySelector(`[data-part="${at}"]`);
        if (part instanceof HTMLElement) covers.push(cover(draft, step, part));
      }
    }
    const end = button("Show all steps", () => {
      for (const cover of covers) cover.show();
      end.remove();
      door.hidden = false;
      door.toggleAttribute("disabled", false);
      door.focus();
    });
    door.after(end);
    door.hidden = true;
    end.classList.add("foldmark-door");
    return covers[0]?.node;
  }

  /** Covers a step until it was tried, or asked for. */
  function cover(/** @type {number} */ draft, /** @type {string} */ step, /** @type {HTMLElement} */ part) {
    const own = () => (part.closest(".foldmark-own") ? ownOf(draft).asked() : null);
    /** @type {string[]} */
    const texts = [];
    const tried = () =>
      ask({
        ask: "try",
        chapter: lesson.path,
        draft,
        own: own(),
        first: isMetric() ? "metric" : "inch",
        step,
        answers: texts,
      });
    const first = tried();
    const ruled = ask({
      ask: "form",
      exercise: drafts[draft].exercise,
      own: own() ?? { ruler: first[0]?.ruler ?? "" },
    });
    const fields = Array.isArray(first)
      ? first.map((/** @type {any} */ one, /** @type {number} */ row) => {
          texts.push("");
          return field({
            label: `What do you get for “${one.label}”?`,
            says: one.limits && `Your choice: ${one.limits}`,
            value: "",
            length: one.is_length,
            unit: one.is_length ? ruled.unit : "",
            fractions: one.is_length ? ruled.fractions : [],
            oninput: (text) => {
              texts[row] = text;
            },
          });
        })
      : [];
    const check = () => {
      const answer = tried();
      if (!Array.isArray(answer)) return;
      let words = "";
      answer.forEach((/** @type {any} */ one, /** @type {number} */ row) => {
        const verdict = one.sign ? `${one.sign.symbol} ${one.sign.words}.` : "Nothing is written here yet.";
        fields[row].said.textContent = [verdict, ...one.says].join(" ");
        words += `${fields[row].said.textContent} `;
      });
      say(words);
      if (answer.every((/** @type {any} */ one) => one.sign?.symbol.includes("✓"))) show();
    };
    const node = el(
      "div",
      { class: "foldmark-panel" },
      ...fields.map((one) => one.node),
      fields.length ? button("Check", check) : null,
      button("Show me", () => show()),
    );
    const show = () => {
      part.hidden = false;
      node.remove();
    };
    part.before(node);
    part.hidden = true;
    return { node, show };
  }

  // ----------------------------------------------------------------

  globalThis.foldmark.open = async (
    /** @type {string} */ kind,
    /** @type {HTMLElement} */ place,
    /** @type {HTMLElement} */ door,
  ) => {
    await ready();
    if (!listener.isConnected) document.body.append(listener);
    const open = { own: openOwn, answers: openAnswers, practice: openPractice, try: openTry }[kind];
    const panel = open?.(place, door);
    // Who asked for it goes on in it; who merely came back to the page is left where they are.
    if (document.activeElement === door || document.activeElement === document.body) {
      if (door.matches(":focus, :hover") || document.activeElement === door)
        panel?.querySelector("input, select, button, summary")?.focus();
    }
  };
})();
