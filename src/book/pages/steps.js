// Steps to be tried before they are shown.

function openTry(place, door) {
  /** @type {{node: HTMLElement, show: () => void, again: () => void, isShown: () => boolean}[]} */
  const covers = [];
  for (const [draft, { steps }] of drafts.entries()) {
    const own = ownOf(draft);
    for (const [step, at] of steps) {
      const part = document.querySelector(`[data-part="${at}"]`);
      if (!(part instanceof HTMLElement)) continue;
      const one = cover(draft, step, part, () => covers.every((cover) => cover.isShown()) && finish());
      covers.push(one);
      own.watchers.add(() => one.again());
    }
  }
  // The step is asked for in the units that the page shows.
  const units = document.querySelector(".foldmark-units");
  units?.addEventListener("click", () => covers.forEach((cover) => cover.again()));
  const finish = () => {
    for (const cover of covers) cover.show();
    end.remove();
    door.hidden = false;
    door.toggleAttribute("disabled", false);
  };
  const end = button("Show all steps", () => {
    finish();
    door.focus();
  });
  door.after(end);
  door.hidden = true;
  end.classList.add("foldmark-door");
  return covers[0]?.node;
}

/** What follows a step up to the next one tells of it, and is covered with it. @param {HTMLElement} part */
function told(part) {
  const nodes = [];
  for (let node = part.nextElementSibling; node instanceof HTMLElement; node = node.nextElementSibling) {
    if (node.matches(".foldmark-part, .foldmark-door, h1, h2, h3, h4")) break;
    nodes.push(node);
  }
  return nodes;
}

/** Covers a step until it was tried, or asked for. */
function cover(draft, step, part, shown) {
  let node = asking(draft, step, part, () => show());
  let isShown = false;
  const covered = [part, ...told(part)];
  const show = () => {
    if (isShown) return;
    isShown = true;
    const hadFocus = node.contains(document.activeElement);
    for (const one of covered) one.hidden = false;
    node.remove();
    if (hadFocus) {
      part.tabIndex = -1;
      part.focus();
    }
    shown();
  };
  part.before(node);
  for (const one of covered) one.hidden = true;
  return {
    node,
    show,
    isShown: () => isShown,
    again() {
      if (isShown) return;
      const fresh = asking(draft, step, part, show);
      node.replaceWith(fresh);
      node = fresh;
    },
  };
}

/** The question in place of a step. */
function asking(draft, step, part, show) {
  const own = () => (part.closest(".foldmark-own") ? ownOf(draft).asked() : null);

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
  const ruled = ask({ ask: "form", exercise: drafts[draft].exercise, own: own() ?? { ruler: first[0]?.ruler ?? "" } });
  const fields = Array.isArray(first)
    ? first.map((one, row) => {
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
    answer.forEach((one, row) => {
      const verdict = one.sign ? `${one.sign.symbol} ${one.sign.words}.` : "Nothing is written here yet.";
      const told = [verdict, ...one.says].join(" ");
      if (fields[row]) fields[row].said.textContent = told;
      words += `${told} `;
    });
    say(words);
    if (!answer.every((one) => one.sign?.symbol.includes("✓"))) return;
    part.before(el("p", { class: "foldmark-said" }, "✓ right"));
    show();
  };
  return el(
    "div",
    { class: "foldmark-panel" },
    Array.isArray(first) ? null : el("p", {}, first.fault),
    ...fields.map((one) => one.node),
    fields.length ? button("Check", check) : null,
    button("Show me", () => show()),
  );
}
