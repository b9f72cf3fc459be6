// The lesson worked for one's own objects.

/** The parts as the book has them. @type {Map<Element, string>} */
const originals = new Map();

function openOwn(part, door) {
  const draft = drafts.findIndex((one) => String(one.part) === part.dataset.part);
  const own = ownOf(draft);
  const shownKey = `shown-${lessonName}-${part.dataset.part}`;
  const form = editor(own);
  const rest = el("p", { class: "foldmark-said", role: "status" });
  const chosen = el("div");
  /** @type {Map<string, any>} */
  const steppers = new Map();
  const panel = el(
    "section",
    { class: "foldmark-panel", "aria-label": "My own objects" },
    el("p", { class: "foldmark-title" }, "My own objects"),
    borrowed(own),
    form.node,
    rest,
    chosen,
    el("p", {}, el("small", {}, keepingNote())),
    button("Clear my objects", () => {
      const before = own.value;
      own.clear();
      back();
      const told = el("p", { role: "status" });
      takenOut(told, "Your objects are taken out.", () => {
        own.value = before;
        own.changed(null);
      });
      door.after(told);
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
    stale.clear();
    window.removeEventListener("beforeprint", putAll);
    for (const [node, html] of originals) if (node.innerHTML !== html) fill(node, html);
    reach();
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

  let isFresh = false;
  let isBehind = false;
  /** At once, and however quickly someone types, no more than once a frame. */
  function update() {
    isBehind = true;
    if (isFresh) return;
    isFresh = true;
    isBehind = false;
    work();
    requestAnimationFrame(() => {
      isFresh = false;
      if (isBehind && panel.isConnected) update();
    });
  }

  // What can be seen is worked and put into the page at once, the rest when there is time.
  /** The parts about this draft, by number. @type {Map<number, Element[]>} */
  const parts = new Map();
  for (const node of main.querySelectorAll("[data-part]")) {
    // A kit's own story keeps its numbers; the form to hand in is one for all.
    if (node.closest(".foldmark-kit") || node.getAttribute("data-block") === "homework") continue;
    const at = Number(node.getAttribute("data-part"));
    parts.set(at, [...(parts.get(at) ?? []), node]);
  }
  /** What each says of own objects. @type {Map<number, string>} */
  const shown = new Map();
  /** Those that may say something else by now. @type {Set<number>} */
  const stale = new Set();
  /** @type {Set<Element>} */
  const near = new Set();
  /** What was typed when it could last be worked: all parts say what they say of that. */
  let sound = own.asked();
  /** Asks what some parts say, and has the page say it. @param {number[]} wanted */
  function put(wanted, asked = sound) {
    const worked = ask({ ask: "lesson", chapter: lesson.path, draft, own: asked, parts: wanted });
    for (const at of wanted) stale.delete(at);
    let isChanged = false;
    for (const [key, html] of Object.entries(worked.parts ?? {})) {
      const at = Number(key);
      if (shown.get(at) === html) continue;
      isChanged = true;
      shown.set(at, html);
      for (const node of parts.get(at) ?? []) {
        if (!originals.has(node)) originals.set(node, node.innerHTML);
        fill(node, html);
      }
    }
    if (isChanged) reach();
    return worked;
  }
  const inSight = () => [...near].map((node) => Number(node.getAttribute("data-part")));
  const watch = new IntersectionObserver(
    (entries) => {
      for (const { target, isIntersecting } of entries) {
        if (isIntersecting) near.add(target);
        else near.delete(target);
      }
      const late = inSight().filter((at) => stale.has(at));
      if (late.length > 0) put(late);
    },
    { rootMargin: "50%" },
  );
  for (const nodes of parts.values()) nodes.forEach((node) => watch.observe(node));
  const putAll = () => put([...stale]);
  window.addEventListener("beforeprint", putAll);
  let isWaiting = false;
  /** @type {(call: (deadline: {timeRemaining: () => number}) => void) => void} */
  const idle = window.requestIdleCallback ?? ((call) => setTimeout(() => call({ timeRemaining: () => 8 }), 60));
  function whenIdle() {
    if (isWaiting || stale.size === 0) return;
    isWaiting = true;
    idle((deadline) => {
      isWaiting = false;
      const begun = performance.now();
      for (const at of stale) {
        put([at]);
        if (deadline.timeRemaining() < 4 || performance.now() - begun > 8) break;
      }
      whenIdle();
    });
  }

  function work() {
    const asked = own.asked();
    const wanted = inSight();
    const worked = put(wanted, asked);
    const faults = own.isEmpty() && Object.keys(own.value.table).length > 0 ? [] : (worked.faults ?? []);
    form.blame(faults, rest);
    if (worked.fault) rest.textContent = worked.fault;
    const isWorked = !worked.fault && worked.faults.length === 0;
    whose.textContent = worked.is_lessons
      ? "The figures are still the lesson’s."
      : isWorked
        ? "The figures are for your own objects."
        : shown.size > 0
          ? "The figures are for your objects as they were before the last change."
          : "The figures are the lesson’s until your objects are complete.";
    // Where nothing is possible, there is nothing left to choose.
    if (worked.faults?.some((fault) => fault.key === "")) offer([]);
    if (!isWorked) return;
    main.classList.add("foldmark-own");
    sound = structuredClone(asked);
    for (const at of parts.keys()) if (!wanted.includes(at)) stale.add(at);
    whenIdle();
    offer(worked.choices);
  }

  /** Offers these choices, and no others. */
  function offer(choices) {
    choices.forEach(stepper);
    for (const [step, { node }] of steppers) {
      if (choices.some((choice) => choice.step === step)) continue;
      node.remove();
      steppers.delete(step);
    }
  }

  function stepper(choice) {
    let known = steppers.get(choice.step);
    if (!known) {
      const go = (way) => () => {
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
      else chosen.append(node);
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
