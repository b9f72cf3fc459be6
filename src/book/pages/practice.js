// Fresh problems, and the sheets of codes.

function openPractice(part, door) {
  const { exercise } = drafts[homework.get(Number(part.dataset.part)) ?? 0];
  const store = shelved(`practice-${exercise}`, {
    code: "",
    level: 1,
    ruler: "",
    slips: 0,
    answers: {},
    half: {},
    done: 0,
  });
  const me = {};
  const save = () => store.save(me);
  const form = ask({ ask: "form", exercise, own: { ruler: "" } });
  const told = el("p", { class: "foldmark-said", role: "status" });
  const problem = el("div", { tabindex: -1, role: "group", "aria-label": "The problem" });
  let refresh = () => {};
  const update = (source) => {
    if (source !== me) refresh();
  };
  const choose = (label, name, /** @type {[any, string, string?][]} */ options) => {
    const id = newId();
    const says = el("small", { "aria-live": "polite" });
    const select = el(
      "select",
      {
        id,
        onchange: () => {
          store.value[name] = options[select.selectedIndex][0];
          tell();
          save();
        },
      },
      ...options.map(([value, words]) =>
        el("option", { value, selected: String(value) === String(store.value[name]) }, words),
      ),
    );
    const tell = () => {
      says.textContent = options[select.selectedIndex]?.[2] ?? "";
    };
    tell();
    return el("div", { class: "foldmark-field" }, el("label", { for: id }, label), select, says);
  };
  const { lessons } = drafts[homework.get(Number(part.dataset.part)) ?? 0];
  const begin = lessons.find((one) => one.ruler.includes("mm") === isMetric()) ?? lessons[0];
  if (!form.rulers.includes(store.value.ruler)) store.value.ruler = begin?.ruler ?? form.rulers[0];
  if (!form.levels.some(([level]) => level === store.value.level)) store.value.level = form.levels[0]?.[0] ?? 0;

  /** Shows a problem; `fresh` has no answers yet. */
  async function show(set, from, fresh, half = {}) {
    if (set.fault) {
      told.textContent = set.fault;
      return;
    }
    told.textContent = "";
    if (fresh) {
      Object.assign(store.value, { code: set.code, answers: { ...half }, half });
      save();
    }
    const asked = () => ({
      exercise: from,
      student: student().value.name,
      show: lesson.show === "none" ? "coach" : lesson.show,
      code: store.value.code,
      own: { ruler: set.ruler },
      answers: store.value.answers,
    });
    const fractions = ask({ ask: "form", exercise: from, own: { ruler: set.ruler } }).fractions;
    let marked = {};
    const sheet = answers({
      asked,
      answers: () => store.value.answers,
      save,
      letters: set.letters,
      fixed: store.value.half,
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
    const key = button(
      "Show the worked key",
      () => {
        keyed.hidden = !keyed.hidden;
        if (!keyed.hidden) fill(keyed, set.key);
        reach();
        key.setAttribute("aria-expanded", String(!keyed.hidden));
      },
      { "aria-expanded": "false" },
    );
    refresh = sheet.refresh;
    problem.replaceChildren(
      el("p", {}, "Code of this sheet: ", el("code", {}, set.code)),
      set.matters
        ? el("p", {}, `In this one “${set.matters}” matters: a mistake was made there before on this device.`)
        : "",
      set_,
      sheet.node,
      key,
      keyed,
      el(
        "details",
        {},
        el("summary", {}, "Hand this sheet in"),
        nameField(),
        handing(
          asked,
          () => {
            const before = store.value.answers;
            store.value.answers = { ...store.value.half };
            save();
            sheet.refresh();
            return () => {
              store.value.answers = before;
              save();
              sheet.refresh();
            };
          },
          () => onPaper(form.title, student().value.name, [el("p", {}, `Code: ${set.code}`)], marked),
        ),
      ),
    );
    sheet.update();
    reach();
    if (fresh) {
      problem.focus();
      problem.scrollIntoView({ block: "start" });
    }
  }
  const fresh = () => {
    const slips = read(`slips-${exercise}`, {});
    const weak = Object.keys(slips)
      .sort((one, other) => slips[other] - slips[one])
      .slice(0, 3);
    const seed = crypto.getRandomValues(new Uint32Array(1))[0];
    const set = ask({
      ask: "problem",
      exercise,
      level: store.value.level,
      ruler: store.value.ruler,
      seed,
      slips: store.value.slips,
      weak,
    });
    const { code, answers, half } = store.value;
    const isBegun = Object.entries(answers).some(
      ([step, texts]) => !(step in half) && texts.some((text) => text.trim()),
    );
    // After the worked draft some steps stand filled in; then none.
    show(set, exercise, true, store.value.done === 0 ? set.half : {});
    if (isBegun && !set.fault) {
      takenOut(told, `The problem that you had begun has the code ${code}.`, () => {
        Object.assign(store.value, { code, answers, half });
        save();
        show(ask({ ask: "coded", exercise, code }), exercise, false);
      });
    }
    store.value.done++;
    save();
  };
  async function coded(code) {
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
    told.textContent = ask({ ask: "coded", exercise, code }).fault;
  }
  const code = field({
    label: "Or the code of a sheet",
    value: kept("code") ?? "",
    oninput: (text) => keep("code", text),
    onenter: () => coded(code.input.value),
  });
  const panel = el(
    "section",
    { class: "foldmark-panel", "aria-label": "Practice" },
    el("p", { class: "foldmark-title" }, "Another problem"),
    choose(
      "Level",
      "level",
      form.levels.length ? form.levels.map(([level, says]) => [level, `Level ${level}`, says]) : [[0, "any"]],
    ),
    choose(
      "Smallest tick of the ruler",
      "ruler",
      form.rulers.map((one) => [one, one]),
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
      store.watchers.delete(update);
      door.hidden = false;
      door.toggleAttribute("disabled", false);
      door.focus();
    }),
  );
  store.watchers.add(update);
  door.after(panel);
  door.hidden = true;
  if (store.value.code) {
    const again = ask({ ask: "coded", exercise, code: store.value.code });
    if (!again.fault) show(again, exercise, false);
  }
  return panel;
}
