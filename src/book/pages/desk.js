// The desk: what students sent is marked, and practice is set for a roster. All of it is done by the core; this shows it.

/** Nothing is judged while a sheet of paper is typed in: what stands on it is what is handed in. */
lesson = { show: "none", taught: {} };

const MARKED = "marked";
/** The class as the core tells it. @type {any} */
let state = {};
let isSaved = true;

/** Asks for something that changes the class; after a failure of the core it is done again. @param {Uint8Array} [bytes] */
function change(request, bytes) {
  const answer = ask(request, bytes);
  if (!answer.fault) {
    given.push([request, bytes]);
    isSaved = false;
  }
  return answer;
}
window.addEventListener("beforeunload", (event) => {
  if (!isSaved) event.preventDefault();
});

/** A list of sentences under a heading, each as text. */
const list = (heading, sentences) =>
  sentences.length === 0
    ? null
    : el(
        "details",
        { open: sentences.length <= 8 },
        el("summary", {}, `${heading} (${sentences.length})`),
        el("ul", {}, ...sentences.map((says) => el("li", {}, says))),
      );
const lines = (text) => String(text ?? "").split("\n");

// ---- What is given.

const PASSED_OVER =
  'In a folder that is dropped here, a browser passes over files with one of < > : " | ? * in their names. “Choose a folder” reads those, too.';

const news = el("div", { class: "told", role: "status" });
const about = el("div", {});
const tell = (...what) => news.replaceChildren(...what.filter(Boolean));

/** Takes in files: the class's own file first, for it says where the rest goes. @param {{name: string, file: File}[]} files */
async function take(files, kind = "any") {
  const started = performance.now();
  tell(el("p", {}, `${files.length === 1 ? "1 file is" : `${files.length} files are`} read …`));
  const faults = [];
  const left = [];
  const bytesOf = async (file) => new Uint8Array(await file.arrayBuffer());
  const isArchive = ({ name }) => kind === "any" && name.toLowerCase().endsWith(".zip");
  for (const { name, file } of files.filter(isArchive)) {
    const room = ask({ ask: "place", names: [name], lengths: [file.size] });
    const answer = room.fault ? room : change({ ask: "unpack" }, await bytesOf(file));
    if (answer.fault) faults.push(`${name}: ${answer.fault}`);
  }
  const rest = files.filter((one) => !isArchive(one));
  if (rest.length > 0) {
    const request = {
      ask: "place",
      names: rest.map(({ name }) => name),
      lengths: rest.map(({ file }) => file.size),
      given: kind,
    };
    let placed = ask(request);
    if (!placed.fault && placed.class !== null) {
      const own = change({ ask: "put", place: "class.toml" }, await bytesOf(rest[placed.class].file));
      if (own.fault) faults.push(own.fault);
      placed = ask(request);
    }
    if (placed.fault) {
      faults.push(placed.fault);
    } else {
      const all = await Promise.allSettled(rest.map(({ file }, at) => (placed.places[at] ? bytesOf(file) : null)));
      all.forEach((read, at) => {
        const { name } = rest[at];
        if (read.status === "rejected") faults.push(`${name}: this browser can't read it.`);
        else if (!read.value) left.push(name);
        else {
          const answer = change({ ask: "put", place: placed.places[at] }, read.value);
          if (answer.fault) faults.push(`${name}: ${answer.fault}`);
        }
      });
    }
  }
  show();
  const taken = files.length - left.length - faults.length;
  tell(
    el("p", {}, `${taken === 1 ? "1 file is" : `${taken} files are`} on the desk.`),
    list("Not taken", faults),
    list("None of the class’s work, and left where it is", left),
  );
  return performance.now() - started;
}

/** The files of what was dropped, folders opened. @param {DataTransfer} drop @returns {Promise<{files: {name: string, file: File}[], isByHandle: boolean}>} */
async function dropped({ items, files }) {
  // What is not asked for while it is dropped is gone. A page that was opened from a folder is given handles, and no entries.
  const handles = [...items].map((/** @type {any} */ item) => item.getAsFileSystemHandle?.());
  const entries = [...items].map((item) => item.webkitGetAsEntry?.());
  const loose = [...files].map((file) => ({ name: file.name, file }));
  let isByHandle = false;
  const found = [];
  const openHandle = async (/** @type {any} */ handle, name) => {
    if (handle.kind === "file") return found.push({ name, file: await handle.getFile() });
    for await (const one of handle.values()) await openHandle(one, `${name}/${one.name}`);
  };
  const openEntry = async (/** @type {any} */ entry) => {
    if (entry.isFile) {
      const file = await new Promise((done, failed) => entry.file(done, failed));
      return found.push({ name: entry.fullPath.replace(/^\//, ""), file });
    }
    const reader = entry.createReader();
    for (;;) {
      const some = await new Promise((done, failed) => reader.readEntries(done, failed));
      if (some.length === 0) return;
      for (const one of some) await openEntry(one);
    }
  };
  const isFolder = entries.map((entry) => entry?.isDirectory === true);
  if (!isFolder.some(Boolean)) return { files: loose, isByHandle };
  try {
    for (const [at, entry] of entries.entries()) {
      const handle = await handles[at]?.catch(() => null);
      if (handle) {
        await openHandle(handle, handle.name);
        isByHandle = true;
      } else if (entry) await openEntry(entry);
    }
    return { files: found, isByHandle };
  } catch {
    throw new Error("This browser opens no folder that is dropped here. Use “Choose a folder”.");
  }
}

/** A button that asks for files. */
function chooser(words, kind, attributes = {}) {
  const input = el("input", {
    type: "file",
    hidden: true,
    ...attributes,
    onchange: async () => {
      const files = [...input.files].map((file) => ({ name: file.webkitRelativePath || file.name, file }));
      input.value = "";
      if (files.length > 0) await take(files, kind);
    },
  });
  return [button(words, () => input.click()), input];
}

const place = el(
  "div",
  { class: "drop" },
  el("p", {}, "Drop here what students sent: files, a folder, or a class that you saved."),
  ...chooser("Choose files", "any", { multiple: true }),
  ...chooser("Choose a folder", "any", { webkitdirectory: true }),
  ...chooser("Choose the roster", "roster", { accept: ".csv,.tsv,.xlsx,.ods" }),
);
/** Takes what is dropped anywhere on a page: on that which is shown as well. @param {Document} on */
function receive(on) {
  for (const kind of ["dragover", "drop"]) {
    on.addEventListener(kind, (event) => {
      event.preventDefault();
      place.classList.toggle("over", kind === "dragover");
      const drop = kind === "drop" && /** @type {DragEvent} */ (event).dataTransfer;
      if (!drop) return;
      dropped(drop).then(
        async ({ files, isByHandle }) => {
          if (files.length > 0) await take(files);
          if (isByHandle) news.append(el("p", {}, PASSED_OVER));
          place.scrollIntoView({ block: "nearest" });
        },
        (error) => tell(el("p", {}, error.message)),
      );
    });
  }
  on.addEventListener("dragleave", () => place.classList.remove("over"));
}
receive(document);

// ---- Pages, as they will lie in the class's folder.

const frame = el("iframe", {
  title: "The page",
  // Without scripts; this page follows its links, measures it and prints it.
  sandbox: "allow-same-origin allow-modals",
});
const path = el("strong", {});
const pages = el("select", { "aria-label": "Page", onchange: () => look(pages.value) });
/** @type {string[]} */
const before = [];
const back = button("Back", () => {
  before.pop();
  const name = before.pop();
  if (name) look(name);
});
const viewer = el(
  "section",
  { class: "foldmark-panel", id: "pages", hidden: true, "aria-label": "Pages", tabindex: -1 },
  el("p", {}, path),
  el(
    "div",
    { class: "row" },
    back,
    button("Print this page", () => frame.contentWindow.print()),
    pages,
  ),
  frame,
);
const text = (bytes) => new TextDecoder().decode(bytes);

/** Shows a page of the class's folder. @param {string} name */
function look(name) {
  const page = ask({ ask: "read", name });
  if (page.fault) return tell(el("p", {}, page.fault));
  if (!name.endsWith(".html")) return save(name.replace(/.*\//, ""), page.bytes);
  before.push(name);
  back.disabled = before.length < 2;
  path.textContent = name;
  const all = name.startsWith(`${MARKED}/`) || state.marked.includes(name) ? state.marked : state.sheets;
  pages.replaceChildren(...all.map((one) => el("option", { value: one, selected: one === name }, one)));
  viewer.hidden = false;
  frame.dataset.page = "";
  frame.srcdoc = text(page.bytes);
}
/** Shows a page, and goes there. @param {string} name */
function bring(name) {
  look(name);
  viewer.scrollIntoView({ block: "start" });
  viewer.focus({ preventScroll: true });
}
frame.addEventListener("load", () => {
  const inside = frame.contentDocument;
  if (!inside) return;
  const name = before.at(-1) ?? "";
  frame.title = inside.title || name;
  frame.dataset.page = name;
  const fit = () => {
    frame.style.height = `${inside.documentElement.scrollHeight + 4}px`;
  };
  fit();
  receive(inside);
  new ResizeObserver(fit).observe(inside.documentElement);
  inside.addEventListener("click", (event) => {
    const link = /** @type {Element} */ (event.target).closest?.("a[href]");
    const href = link?.getAttribute("href") ?? "#";
    if (href.startsWith("#")) return;
    event.preventDefault();
    // Links lead from page to page of the folder, and nowhere else.
    const { pathname } = new URL(href, `folder:///${encodeURI(name)}`);
    bring(decodeURIComponent(pathname.replace(/^\/+/, "")));
  });
});

/** Has the browser save a file. @param {string} name @param {Uint8Array<ArrayBuffer>} bytes */
function save(name, bytes) {
  const address = URL.createObjectURL(new Blob([bytes]));
  el("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}

function saveAll() {
  const archive = ask({ ask: "save" });
  if (archive.fault) return tell(el("p", {}, archive.fault));
  save("class.zip", archive.bytes);
  isSaved = true;
  tell(el("p", {}, "Saved as class.zip. The next time drop it here, and all of this is on the desk again."));
}

// ---- Marking.

const found = el("div", { role: "status" });
const SAVES = { "gradebook.csv": "A row for each student", "sheets.csv": "A row for each sheet" };
function check(force = false) {
  const answer = change({ ask: "check", force });
  show();
  if (answer.fault) {
    found.replaceChildren(el("p", {}, answer.fault));
    return;
  }
  found.replaceChildren(
    ...[
      list("What could not be read or done", answer.faults),
      list("What there is to know", answer.notices),
      el("pre", {}, answer.text),
      ...["gradebook.csv", "sheets.csv"].map((name) =>
        button(`Save ${name}`, () => look(state.index.replace("index.html", name)), { title: SAVES[name] }),
      ),
    ].filter((one) => one !== null),
  );
  if (state.marked.includes(state.index)) bring(state.index);
}

// ---- Practice.

const set = { exercises: new Set(), level: "", slips: "0", ruler: "", week: "", count: "", from: "", whose: "own" };
const made = el("div", { role: "status" });
const choices = el("div", {});

/** A choice. @param {[string, string][]} options */
function choose(label, name, options) {
  const id = newId();
  if (!options.some(([value]) => value === set[name])) set[name] = options[0][0];
  const select = el(
    "select",
    { id, onchange: () => (set[name] = select.value) },
    ...options.map(([value, words]) => el("option", { value, selected: value === set[name] }, words)),
  );
  return el("div", { class: "foldmark-field" }, el("label", { for: id }, label), select);
}
const typed = (label, name, says, value) =>
  field({ label, says, value: set[name] || value, oninput: (text) => (set[name] = text) }).node;

function drawChoices() {
  const chosen = state.exercises.filter((one) => set.exercises.has(one.name));
  const box = (one) => {
    const id = newId();
    const input = el("input", {
      type: "checkbox",
      id,
      checked: set.exercises.has(one.name),
      onchange: () => {
        if (input.checked) set.exercises.add(one.name);
        else set.exercises.delete(one.name);
        drawChoices();
        document.getElementById(`of-${one.name}`)?.focus();
      },
    });
    input.id = `of-${one.name}`;
    return el("div", { class: "check" }, input, el("label", { for: input.id }, one.title));
  };
  const all = chosen.length > 0 ? chosen : state.exercises;
  const shared = (of) => all.reduce((so, one) => so.filter((value) => of(one).includes(value)), of(all[0]));
  const levels = shared((one) => one.levels.map(([level]) => level));
  const says = (level) => (chosen.length === 1 ? `: ${chosen[0].levels.find(([known]) => known === level)?.[1]}` : "");
  choices.replaceChildren(
    el("fieldset", { class: "boxes" }, el("legend", {}, "Of what"), ...state.exercises.map(box)),
    choose("Level", "level", [
      ["", "as the roster says, or as usual"],
      .../** @type {[string, string][]} */ (levels.map((one) => [String(one), `Level ${one}${says(one)}`])),
    ]),
    ...(state.students.length > 0 && state.results.length > 0
      ? [
          choose("Chosen from what went wrong", "from", [
            ["", "from nothing"],
            ...state.results.map((one) => [one, `in ${one}`]),
          ]),
          choose("Chosen for", "whose", [
            ["own", "each student their own"],
            ["class", "all the same"],
          ]),
        ]
      : []),
    choose("Smallest tick of the ruler", "ruler", [
      ["", "as usual"],
      ...shared((one) => one.rulers).map((one) => [one, one]),
    ]),
    choose("What to do", "slips", [
      ["0", "Draft it"],
      ...(all.every((one) => one.has_slips)
        ? /** @type {[string, string][]} */ ([
            ["1", "Find one slip in a finished draft"],
            ["2", "Find two slips in a finished draft"],
          ])
        : []),
    ]),
    typed("Week", "week", "Its sheets and marks are filed under it.", String(state.week)),
    ...(state.students.length === 0
      ? [
          typed(
            "How many sheets",
            "count",
            "There is no roster on the desk; with one, each student has a sheet with their name.",
            "12",
          ),
        ]
      : [el("p", {}, `A sheet for each of ${state.students.length} on the roster.`)]),
  );
}

function makeSet(replaces = false) {
  const number = (text) => (/^\s*\d+\s*$/.test(text) ? Number(text) : null);
  const week = number(set.week || String(state.week));
  const count = state.students.length === 0 ? number(set.count || "12") : null;
  if (week === null || week < 1) return made.replaceChildren(el("p", {}, "A week is a whole number, such as 3."));
  const answer = change({
    ask: "set",
    exercises: [...set.exercises],
    level: number(set.level),
    slips: Number(set.slips),
    ruler: set.ruler,
    count,
    week,
    from: state.students.length > 0 ? set.from : "",
    together: set.whose === "class",
    replaces,
  });
  if (answer.fault) {
    made.replaceChildren(
      el("p", {}, answer.fault),
      answer.fault.startsWith("There is a set") ? button(`Replace the set of week ${week}`, () => makeSet(true)) : "",
    );
    return;
  }
  set.week = "";
  show();
  bring(answer.sheets);
  made.replaceChildren(
    ...lines(answer.says).map((says) => el("p", {}, says)),
    ...answer.why.map((line) => el("p", {}, line)),
    button("Show the sheets", () => bring(answer.sheets)),
    button("Show the key", () => bring(answer.key)),
  );
}

// ---- Paper.

const paper = el("div", {});
const typedIn = el("div", {});
/** Fields for a sheet of paper. @param {any} of @param {any} one */
function openSheet(of, one) {
  const problem = ask({ ask: "coded", exercise: one.exercise, code: one.code });
  if (problem.fault) return typedIn.replaceChildren(el("p", {}, problem.fault));
  const form = ask({ ask: "form", exercise: one.exercise, code: one.code, own: { ruler: problem.ruler } });
  const whose = { student: one.student, id: one.id };
  /** @type {Record<string, string[]>} */
  const store = {};
  const asked = () => ({
    exercise: one.exercise,
    ...whose,
    show: "none",
    code: one.code,
    own: { ruler: problem.ruler },
    answers: store,
  });
  const sheet = answers({
    asked,
    answers: () => store,
    save: () => {},
    letters: problem.letters,
    shown: problem.shown,
    fractions: () => form.fractions,
    unit: () => problem.unit,
    outline: problem.outline,
    forgets: true,
  });
  const says = el("p", { class: "foldmark-said", role: "status" });
  const nobody = one.student
    ? el("p", {}, el("strong", {}, one.student), one.id ? ` (${one.id})` : "", ` · ${form.title} · ${one.code}`)
    : field({ label: "Whose sheet is it?", value: "", oninput: (text) => (whose.student = text) }).node;
  typedIn.replaceChildren(
    nobody,
    sheet.node,
    button("Put it with what was handed in", () => {
      const answer = change({ ask: "typed", set: of.name, sheet: asked() });
      if (answer.fault) {
        says.textContent = answer.fault;
        return;
      }
      show();
      typedIn.replaceChildren(el("p", { role: "status" }, `${whose.student}’s sheet lies in ${answer.name}.`));
      paper.querySelector("select")?.focus();
    }),
    says,
  );
  sheet.update();
}
function drawPaper() {
  const options = state.sets.flatMap((of) => of.sheets.map((one) => ({ of, one })));
  if (options.length === 0) {
    paper.replaceChildren(el("p", {}, "Set practice first, or drop the folder of a class that has sets."));
    return;
  }
  const id = newId();
  const words = ({ of, one }) =>
    `${of.name}: ${one.student || one.code}${one.id ? ` (${one.id})` : ""}${of.sheets.filter((other) => other.student === one.student && other.id === one.id).length > 1 ? `, ${one.exercise}` : ""}${one.is_typed ? " – typed in" : ""}`;
  const select = el(
    "select",
    {
      id,
      onchange: () => {
        const { of, one } = options[Number(select.value)] ?? {};
        if (of) openSheet(of, one);
        else typedIn.replaceChildren();
      },
    },
    el("option", { value: "" }, "whose?"),
    ...options.map((option, at) => el("option", { value: at }, words(option))),
  );
  paper.replaceChildren(el("div", { class: "foldmark-field" }, el("label", { for: id }, "Which sheet"), select));
}

// ---- All of it.

function show() {
  const now = ask({ ask: "class" });
  if (now.fault) {
    about.replaceChildren(...lines(now.fault).map((says) => el("p", {}, says)));
    return;
  }
  const isNew = state.exercises === undefined;
  state = now;
  if (isNew || set.exercises.size === 0) set.exercises = new Set(now.usual);
  const count = (many, one, more) => (many === 1 ? `1 ${one}` : `${many} ${more}`);
  // A name that runs from right to left does not move its neighbours.
  const students = now.students.flatMap(({ name, id }, at) => [
    at > 0 ? ", " : "",
    el("bdi", {}, name),
    ...(id ? [" (", el("bdi", {}, id), ")"] : []),
  ]);
  about.replaceChildren(
    ...[
      el(
        "p",
        {},
        now.title ? el("strong", {}, `${now.title}: `) : "",
        `${count(now.students.length, "student", "students")} on the roster, ${count(now.handed_in.length, "file", "files")} handed in, ${count(now.sets.length, "set", "sets")}.`,
      ),
      list("Wrong", now.faults),
      list("To know", now.notices),
      students.length > 0 ? el("details", {}, el("summary", {}, "The roster"), el("p", {}, ...students)) : null,
      now.handed_in.length > 0
        ? el(
            "details",
            {},
            el("summary", {}, "What was handed in"),
            el(
              "ul",
              {},
              ...now.handed_in.map((name) =>
                el(
                  "li",
                  {},
                  `${name} `,
                  button(
                    "Take out",
                    () => {
                      change({ ask: "out", name: `${now.folder}/${name}` });
                      show();
                    },
                    { "aria-label": `Take out ${name}` },
                  ),
                ),
              ),
            ),
          )
        : null,
    ].filter((one) => one !== null),
  );
  drawChoices();
  drawPaper();
}

const part = (title, ...inside) => el("section", { class: "foldmark-panel" }, el("h2", {}, title), ...inside);
async function begin() {
  const main = document.querySelector("main");
  if (!main) return;
  try {
    ask = await start();
  } catch (error) {
    main.append(el("p", { role: "alert" }, error instanceof Error ? error.message : String(error)));
    return;
  }
  // With the number of a week alone, whoever has the program could make its set.
  const own = { ask: "begin", chance: [...crypto.getRandomValues(new Uint8Array(16))] };
  ask(own);
  given.push([own]);
  document.getElementById("waiting")?.remove();
  document.body.append(listener);
  main.append(
    part("What there is", place, news, about),
    part(
      "Mark",
      el("p", {}, "Everything that was handed in is marked, set by set."),
      button("Mark what was handed in", () => check()),
      found,
    ),
    part(
      "Set practice",
      el(
        "p",
        {},
        "The code on a sheet gives that sheet away: with it, whoever has the program can see the answers. It says nothing of other sheets, nor of sets to come, for those are made from a secret in your class.toml.",
      ),
      choices,
      button("Set practice", () => makeSet()),
      made,
    ),
    part("Type in a sheet of paper", paper, typedIn),
    part(
      "Save",
      el(
        "p",
        {},
        "This page forgets everything when it is closed. Save the class, and drop that file here the next time.",
      ),
      button("Save all as one archive", saveAll),
    ),
    viewer,
  );
  show();
}
begin();
