// Answers: fields that are judged one by one, and ways to hand them in.

/**
 * Fields for the answers of a sheet, judged one by one.
 * @param {{asked: () => any, answers: () => Record<string, string[]>, save: () => void, letters?: Record<string, string>,
 *   fixed?: Record<string, string[]>, shown?: Record<string, string[]>, fractions: () => string[], unit: () => string,
 *   outline?: string, forgets?: boolean, restated?: (marked: any) => boolean, after?: (marked: any) => void}} sheet
 */
function answers(sheet) {
  const drawn = el("div", { class: "foldmark-drawn" });
  const list = el("div");
  const remarks = el("p", { class: "foldmark-said" });
  const tally = el("p");
  // On a telephone the drawing comes after what is filled in, on a desk beside it.
  const node = el("div", { class: "foldmark-sheet" }, el("div", {}, remarks, list, tally), drawn);
  /** @type {Map<string, any>} */
  let fields = new Map();
  let shape = "";

  const put = (one, text) => {
    const values = (sheet.answers()[one.step] ??= []);
    while (values.length <= one.row) values.push("");
    values[one.row] = text;
    sheet.save();
  };
  function draw(marked) {
    fields = new Map();
    list.replaceChildren(
      ...marked.answers.map((one) => {
        const key = `${one.step} ${one.row}`;
        const letter = sheet.letters?.[one.step];
        const shows = sheet.shown?.[one.step]?.[one.row];
        const fixed = sheet.fixed?.[one.step] !== undefined;
        const made = field({
          label: `${letter ? `${letter}  ` : ""}${one.label}${one.limits ? " (your choice)" : ""}`,
          says: [shows ? `The draft shows ${shows}.` : "", one.limits, fixed ? "Filled in for you." : ""]
            .filter(Boolean)
            .join(" "),
          value: sheet.answers()[one.step]?.[one.row] ?? "",
          key,
          fixed,
          length: one.is_length,
          unit: one.is_length ? sheet.unit() : "",
          fractions: one.is_length ? sheet.fractions() : [],
          oninput: (text) => {
            put(one, text);
            made.said.replaceChildren();
            delete made.said.dataset.words;
          },
          onchange: () => update(one),
        });
        fields.set(key, made);
        return made.node;
      }),
    );
  }
  /** Judges everything anew; of `touched` the verdict is said aloud. @param {any} [touched] */
  function update(touched) {
    const marked = ask({ ask: "mark", ...sheet.asked() });
    if (marked.fault) {
      remarks.textContent = marked.fault;
      return marked;
    }
    if (marked.faults.length === 0) {
      if (sheet.restated?.(marked)) return update(touched);
      const now = JSON.stringify([marked.answers.map((one) => [one.label, one.limits]), sheet.unit()]);
      if (now !== shape) draw(marked);
      shape = now;
    }
    for (const one of marked.answers) {
      const made = fields.get(`${one.step} ${one.row}`);
      const said = made?.said;
      if (!said) continue;
      const verdict = one.sign ? `${one.sign.symbol} ${one.sign.words}` : "";
      const found = [verdict && `${verdict}.`, ...one.says].filter(Boolean).join(" ");
      const isRead = one.verdict !== "unreadable";
      const question =
        one.likely &&
        one.sign &&
        said.dataset.meant !== one.written &&
        `Did you mean ${/\d$/.test(one.likely) ? `${one.likely} ${sheet.unit()}` : one.likely}?`;
      // What can be read may still have been meant otherwise: that is asked before anything is said of it.
      const words = question ? [isRead ? "" : found, question].filter(Boolean).join(" ") : found;
      if (said.dataset.words === words) continue;
      said.dataset.words = words;
      said.replaceChildren(words);
      if (question) {
        const answered = (text) => {
          made.input.value = text;
          said.dataset.meant = text;
          put(one, text);
          made.input.focus();
          update(one);
        };
        said.append(
          " ",
          button("Yes", () => answered(one.likely)),
          button("No", () => answered(one.written)),
        );
      }
      if (touched && touched.step === one.step && touched.row === one.row && words) say(`${one.label}: ${words}`);
    }
    fill(drawn, marked.figure || sheet.outline || "");
    node.classList.toggle("drawn", drawn.childNodes.length > 0);
    remarks.textContent = marked.remarks.join(" ");
    const filled = Object.values(sheet.answers())
      .flat()
      .filter((text) => String(text).trim() !== "").length;
    // What stands filled in is nobody's work.
    const given = Object.values(sheet.fixed ?? {}).flat().length;
    tally.textContent =
      marked.faults.length > 0
        ? ""
        : lesson.show === "none"
          ? `${filled} of ${marked.asked} filled in.`
          : `${marked.right - given} of ${marked.asked - given} right.`;
    if (touched && !sheet.forgets) remember(marked, sheet.asked().exercise);
    sheet.after?.(marked);
    return marked;
  }
  /** Puts in what another window has, but where someone is typing here. */
  function refresh() {
    for (const [key, { input, said }] of fields) {
      const [step, row] = key.split(" ");
      const text = sheet.answers()[step]?.[Number(row)] ?? "";
      if (input === document.activeElement || input.value === text) continue;
      input.value = text;
      delete said.dataset.words;
    }
    update();
  }
  return { node, update, refresh };
}

/** Which mistakes came up on this device, for problems in which they matter. */
function remember(marked, exercise) {
  if (marked.slips.length === 0) return;
  const slips = read(`slips-${exercise}`, {});
  for (const slip of new Set(marked.slips)) slips[slip] = (Number(slips[slip]) || 0) + 1;
  write(`slips-${exercise}`, slips);
}

/** What can be done with a sheet that is filled in; `clear` gives a way back. */
function handing(asked, clear, paper) {
  const told = el("p", { class: "foldmark-said", role: "status" });
  /** The file to hand in; nothing, and why, where nobody could mark it. */
  const file = () => {
    const file = ask({ ask: "file", ...asked() });
    const marked = ask({ ask: "mark", ...asked() });
    const [wrong] = marked.faults ?? [];
    const nameless = asked().student.trim() ? "" : "Put in your name first, so that the sheet is known as yours.";
    told.textContent = file.fault ?? (nameless || (wrong ? `Put in your own objects first: ${wrong.message}.` : ""));
    if (told.textContent) return null;
    const open = marked.answers.filter((one) => one.written === "").length;
    return { ...file, open: open > 0 ? ` ${open === 1 ? "One line is" : `${open} lines are`} empty.` : "" };
  };
  const save = () => {
    const made = file();
    if (!made) return;
    const address = URL.createObjectURL(new Blob([made.text], { type: "application/toml" }));
    const link = el("a", { href: address, download: made.name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
    told.textContent = `Saved as ${made.name}. Hand in that file.${made.open}`;
  };
  const send = async () => {
    const made = file();
    if (!made) return;
    const text = new File([made.text], made.name.replace(/toml$/, "txt"), { type: "text/plain" });
    const shared = navigator.canShare?.({ files: [text] }) ? { files: [text] } : { title: made.name, text: made.text };
    try {
      await navigator.share(shared);
      told.textContent = `Handed to the program that you chose.${made.open}`;
    } catch {
      told.textContent = "Nothing was sent.";
    }
  };
  const copy = async () => {
    const made = file();
    if (!made) return;
    try {
      await navigator.clipboard.writeText(made.text);
      told.textContent = `Copied. Paste it into a message, and send that.${made.open}`;
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
    button("Clear my answers", () => takenOut(told, "The answers are taken out.", clear())),
    told,
    el("p", {}, el("small", {}, keepingNote())),
  );
}

/** A sheet on paper: whose, what is given, every measure with what was found. */
function onPaper(title, student, givens, marked) {
  const row = (one) =>
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
  const needed = form.givens.filter((given) => given.is_needed);
  return needed.map((given) => {
    if (given.kind !== "table") {
      const text = own.value.single[given.name] || given.usual;
      const word = given.words.find(([word]) => word === text);
      return el("div", {}, `${given.title}: ${word?.[1] ?? text}`);
    }
    const columns = given.columns.filter((column) => column.is_needed);
    const rows = own
      .rows(given.name)
      .map(({ row }) =>
        el(
          "tr",
          {},
          el("th", { scope: "row" }, row.name ?? ""),
          ...columns.map((column) => el("td", {}, row[column.name] ?? "")),
        ),
      );
    const head = el(
      "tr",
      {},
      el("th", { scope: "col" }, given.each),
      ...columns.map((column) => el("th", { scope: "col" }, column.title)),
    );
    return el("div", { class: "table-wrapper" }, el("table", {}, el("thead", {}, head), el("tbody", {}, ...rows)));
  });
}

function nameField() {
  const kept = student();
  const made = field({
    label: "Your name",
    value: kept.value.name,
    oninput: (text) => {
      kept.value.name = text;
      kept.save(made);
    },
  });
  kept.watchers.add((source) => {
    if (source !== made) made.input.value = kept.value.name;
  });
  return made.node;
}

function openAnswers(part, door) {
  const draft = homework.get(Number(part.dataset.part)) ?? 0;
  const own = ownOf(draft);
  const kept = answersOf(own.exercise);
  const asked = () => ({
    exercise: own.exercise,
    student: student().value.name,
    show: lesson.show,
    own: own.asked(),
    chapter: lesson.path,
    draft,
    answers: kept.value.answers,
  });
  const me = {};
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
    answers: () => kept.value.answers,
    save: () => kept.save(me),
    fractions: () => ruled().fractions,
    unit: () => ruled().unit,
    restated: (now) => {
      const unit = ruled().unit;
      const was = kept.value.unit;
      if (was === unit) return false;
      kept.value.unit = unit;
      for (const one of was ? now.answers : []) {
        const values = kept.value.answers[one.step] ?? [];
        if (one.is_length && values[one.row]) values[one.row] = inUnit(values[one.row], was);
      }
      kept.save(me);
      return Boolean(was);
    },
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
        const before = kept.value.answers;
        kept.value.answers = {};
        kept.save();
        return () => {
          kept.value.answers = before;
          kept.save();
        };
      },
      () => onPaper(title, student().value.name, summary(own), marked),
    ),
    button("Clear all that is mine", (event) => {
      // There is no way back from this, so it is pressed twice.
      if (!event.target.dataset.asked) {
        event.target.dataset.asked = "yes";
        event.target.textContent = "Press again: name, objects, answers and practice of this lesson are gone then";
        return;
      }
      for (const name of ["answers", "practice", "slips"]) keep(`${name}-${own.exercise}`, "");
      keep("student", "");
      own.clear();
      location.reload();
    }),
    button("Close", () => {
      panel.remove();
      door.hidden = false;
      door.toggleAttribute("disabled", false);
      own.watchers.delete(update);
      kept.watchers.delete(update);
      keep(`shown-${lessonName}-answers`, "");
      door.focus();
    }),
  );
  const update = (source) => {
    if (source === null || source === undefined) sheet.refresh();
    else if (source !== me) sheet.update();
  };
  own.watchers.add(update);
  kept.watchers.add(update);
  door.after(panel);
  door.hidden = true;
  keep(`shown-${lessonName}-answers`, "answers");
  sheet.update();
  return panel;
}
