// Steps to be tried before they are shown.

function openTry(place, door) {
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
function cover(draft, step, part) {
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
      fields[row].said.textContent = [verdict, ...one.says].join(" ");
      words += `${fields[row].said.textContent} `;
    });
    say(words);
    if (answer.every((one) => one.sign?.symbol.includes("✓"))) show();
  };
  const node = el(
    "div",
    { class: "foldmark-panel" },
    Array.isArray(first) ? null : el("p", {}, first.fault),
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
