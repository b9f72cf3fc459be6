// One's own objects: what was typed, and the form for it.

/** What a reader typed, for one exercise, and who wants to know of changes. */
class Own extends Kept {
  /** @param {string} exercise @param {number} draft */
  constructor(exercise, draft) {
    super(`own-${exercise}`, { ruler: "", single: {}, table: {}, choice: {} });
    this.exercise = exercise;
    this.draft = draft;
  }
  /** @param {any} source */
  changed(source) {
    this.save(source);
  }
  /** The rows of a table in which something stands, each with its place. @param {string} table */
  rows(table) {
    const rows = Array.isArray(this.value.table[table]) ? this.value.table[table] : [];
    return rows
      .map((row, at) => ({ row, at }))
      .filter(({ row }) => row && Object.values(row).some((text) => String(text).trim() !== ""));
  }
  /** Takes a row out, and the answers to what is worked row by row with it. */
  takeOut(given, at) {
    const begun = this.rows(given.name).findIndex((row) => row.at === at);
    this.value.table[given.name].splice(at, 1);
    const sheet = answersOf(this.exercise);
    if (begun >= 0) for (const step of given.steps) sheet.value.answers[step]?.splice(begun, 1);
    sheet.save();
  }
  /** As the core takes it. */
  asked() {
    const table = Object.fromEntries(
      Object.keys(this.value.table).map((name) => [name, this.rows(name).map(({ row }) => row)]),
    );
    return { ruler: this.value.ruler, single: this.value.single, table, choice: this.value.choice };
  }
  /** What was measured in a unit stays so when the ruler is one of another. */
  keepUnit(givens, unit) {
    for (const { name, kind, columns } of givens) {
      const { single } = this.value;
      if (kind === "length" && single[name]) single[name] = inUnit(single[name], unit);
      for (const column of columns.filter((one) => one.is_length))
        for (const { row } of this.rows(name)) if (row[column.name]) row[column.name] = inUnit(row[column.name], unit);
    }
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
const ownOf = (draft) => {
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

/** A bare number with the unit that it was measured in, since it is to be read in another. @param {string} text @param {string} unit */
const inUnit = (text, unit) => (/\d\s*$|[½¼¾⅛⅜⅝⅞]\s*$/.test(text) ? `${text.trim()} ${unit}` : text);

/** No name and no measurement is longer. */
const LONGEST = 500;

/**
 * A field for a measurement or a text, with room for what is said of it.
 * @param {{label: string, says?: string, value: string, unit?: string, key?: string, hint?: string, length?: boolean,
 *   fractions?: string[], fixed?: boolean, oninput: (text: string) => void, onchange?: () => void, onenter?: () => void, lent?: string}} what
 */
function field(what) {
  const id = newId();
  const said = el("p", { class: "foldmark-said", id: `${id}-said` });
  let isTyped = false;
  const unit = what.unit ? el("span", { "aria-hidden": "true" }, what.unit) : null;
  /** The sheet's unit stands behind a number that names none. */
  const showUnit = () => unit && (unit.hidden = /[a-z"'′″]/i.test(input.value));
  /** The reader is done with the field; what the fractions put in is no change to a browser. */
  const settle = () => {
    if (!isTyped) return;
    isTyped = false;
    if (what.onchange) whenReleased(what.onchange);
  };
  const input = el("input", {
    id,
    value: what.value,
    autocomplete: "off",
    spellcheck: "false",
    enterkeyhint: "next",
    inputmode: what.length ? "decimal" : undefined,
    placeholder: what.hint,
    readonly: what.fixed,
    "aria-describedby": `${id}-said`,
    "data-key": what.key,
    oninput: () => {
      isTyped = true;
      showUnit();
      if (input.value.length > LONGEST) {
        input.value = input.value.slice(0, LONGEST);
        what.oninput(input.value);
        said.textContent = "This is longer than anything that belongs here; the rest was left out.";
      } else {
        what.oninput(input.value);
      }
    },
    onchange: settle,
    onblur: () => {
      input.dataset.left = "";
      settle();
    },
    onfocus: () => {
      pad(input, what.fixed ? [] : (what.fractions ?? []));
      // What was not typed by the reader is typed over.
      if (what.lent !== undefined && input.value === what.lent)
        setTimeout(() => document.activeElement === input && input.select());
    },
    onkeydown: (event) => {
      if (event.key === "Enter") (what.onenter ?? next)(input);
    },
  });
  const node = el(
    "div",
    { class: "foldmark-field" },
    el("label", { for: id }, what.label, what.says ? el("small", {}, what.says) : null),
    unit ? el("div", { class: "foldmark-unit" }, input, unit) : input,
    said,
  );
  showUnit();
  return { node, input, said };
}

/** On to the field after this one. */
function next(input) {
  const fields = [...(input.closest("section, main")?.querySelectorAll("input, select") ?? [])];
  const after = fields.slice(fields.indexOf(input) + 1).find((one) => one.checkVisibility());
  after?.focus();
}

/** The ruler's fractions under the field that is filled in: a telephone's digits have no line between two numbers. */
const padNode = el("div", { class: "foldmark-pad" });
function pad(input, fractions) {
  if (fractions.length === 0) return padNode.remove();
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
        { tabindex: -1, onpointerdown: (event) => event.preventDefault() },
      ),
    ),
  );
  input.closest(".foldmark-field").after(padNode);
}

/**
 * The form for one's own objects.
 * @param {Own} own
 */
function editor(own) {
  const { lessons } = drafts[own.draft];
  const begin = lessons.find((one) => one.ruler.includes("mm") === isMetric()) ?? lessons[0];
  const node = el("div");
  const me = {};

  let form;
  /** What decides about which fields there are. */
  const shape = () =>
    JSON.stringify([
      form?.ruler,
      form?.givens.map((given) => [given.is_needed, given.columns.map((column) => column.is_needed)]),
    ]);

  const filled = () => JSON.stringify([own.value.ruler, own.value.single, own.value.table]);
  /** What stands in the fields. */
  let drawn = "";

  const changed = () => {
    const before = shape();
    drawn = filled();
    own.changed(me);
    form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
    if (shape() !== before) draw();
  };
  const length = (is) => (is ? { length: true, unit: form.unit, fractions: form.fractions } : {});

  function table(given) {
    const rows = Array.isArray(own.value.table[given.name]) ? own.value.table[given.name] : [];
    if (rows.length === 0) rows.push({});
    own.value.table[given.name] = rows;
    const card = (row, at) => {
      const cell = (name, more) =>
        field({
          value: row[name] ?? "",
          key: `given.${given.name}.${at + 1}.${name}`,
          ...more,
          oninput: (text) => {
            // What is kept may have been put anew by another window since this was drawn.
            own.value.table[given.name][at][name] = text;
            changed();
          },
        }).node;
      const columns = given.columns.filter((column) => column.is_needed);
      return el(
        "fieldset",
        {},
        el("legend", {}, `${given.each} ${at + 1}`),
        el(
          "div",
          { class: "foldmark-row" },
          cell("name", { label: "what is it?" }),
          ...columns.map((column) =>
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
              own.takeOut(given, at);
              changed();
              draw();
              focusLast();
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
            own.value.table[given.name].push({});
            changed();
            draw();
            focusLast();
          })
        : el("p", {}, `There may be ${given.most} of them, and no more.`),
    );
  }
  const focusLast = () =>
    /** @type {HTMLElement | null} */ ([...node.querySelectorAll("fieldset")].at(-1)?.querySelector("input"))?.focus();

  function single(given) {
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
        ...given.words.map(([word, says]) => el("option", { value: word, selected: word === now }, says || word)),
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
      lent: begin?.single[given.name],
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
          const { unit, givens } = form;
          own.value.ruler = ruler.value;
          form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
          if (form.unit !== unit) own.keepUnit(givens, unit);
          changed();
          draw();
        },
      },
      ...form.rulers.map((one) => el("option", { value: one, selected: one === form.ruler }, one)),
    );
    const needed = form.givens.filter((given) => given.is_needed);
    const tables = needed.filter((given) => given.kind === "table");
    const words = needed.filter((given) => given.kind === "choice");
    const rest = needed.filter((given) => given.kind !== "table" && given.kind !== "choice");
    const usual = tables.length > 0 ? rest.filter((given) => given.usual) : [];
    const isOpen = node.querySelector("details")?.open;
    node.replaceChildren(
      el("div", { class: "foldmark-field" }, el("label", { for: id }, "Smallest tick of the ruler"), ruler),
      ...words.map(single),
      ...tables.map(table),
      ...rest.filter((given) => !usual.includes(given)).map(single),
      usual.length
        ? el(
            "details",
            { open: isOpen },
            el("summary", {}, `What else is given: ${usual.length} usual values`),
            ...usual.map(single),
          )
        : "",
    );
    drawn = filled();
    if (focused)
      /** @type {HTMLElement | null} */ (node.querySelector(`[data-key="${CSS.escape(focused)}"]`))?.focus();
  }

  /** Puts each fault under its field; those that have none are told in `rest`. */
  function blame(faults, rest) {
    const keys = new Map(faults.map((fault) => [own.place(fault.key), fault.message]));
    for (const input of node.querySelectorAll("[data-key]")) {
      // Of what nobody has come to yet nothing is said.
      const isOpen = input.value === "" && input.dataset.left === undefined && !input.matches("p");
      const message = (!isOpen && keys.get(input.dataset.key)) || "";
      const said = input.matches("p") ? input : document.getElementById(`${input.id}-said`);
      if (said && said.textContent !== message) said.textContent = message;
      if (!input.matches("p")) input.toggleAttribute("aria-invalid", false);
      if (message && !input.matches("p")) input.setAttribute("aria-invalid", "true");
      keys.delete(input.dataset.key);
    }
    rest.textContent = [...keys.values()].join(" ");
  }

  if (!own.value.ruler && begin) own.value.ruler = begin.ruler;
  const { givens } = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
  // Where there are no objects to put in, what is changed is the lesson's own values.
  if (begin && own.isEmpty() && !givens.some((given) => given.kind === "table")) own.value.single = { ...begin.single };
  draw();
  own.watchers.add((source) => {
    // A choice that was moved stands in no field.
    if (source !== me && filled() !== drawn) draw();
  });
  return { node, blame };
}

/** Objects that were typed in another lesson and fit into this one. @param {Own} own */
function borrowed(own) {
  if (!own.isEmpty()) return null;
  const form = ask({ ask: "form", exercise: own.exercise, own: own.asked() });
  const tables = form.givens.filter((given) => given.kind === "table");
  for (const exercise of Object.keys(lesson.taught)) {
    if (exercise === own.exercise) continue;
    const other = read(`own-${exercise}`, { table: {} });
    for (const table of tables) {
      const rows = Object.values(other.table ?? {}).find(
        (rows) =>
          Array.isArray(rows) && rows.some((row) => row?.name && table.columns.some((column) => row[column.name])),
      );
      if (!rows) continue;
      const names = ["name", ...table.columns.map((column) => column.name)];
      const take = () => {
        own.value.ruler = other.ruler || own.value.ruler;
        own.value.table[table.name] = rows
          .slice(0, table.most)
          .map((row) => Object.fromEntries(names.filter((name) => row[name]).map((name) => [name, String(row[name])])));
        own.changed(null);
        offer.remove();
      };
      const offer = el(
        "p",
        {},
        `You measured ${rows
          .map((row) => row.name)
          .filter(Boolean)
          .join(", ")} for another lesson. `,
        button("Use them here", take),
      );
      return offer;
    }
  }
  return null;
}
