// In a lesson's page: opens its practice, and does there what a student does.

globalThis.trial = (() => {
  const wait = async (is) => {
    for (let left = 2000; left > 0; left--) {
      const found = is();
      if (found) return found;
      await new Promise((done) => setTimeout(done, 5));
    }
    throw new Error("what was awaited did not come");
  };
  const panel = () => document.querySelector('section[aria-label="Practice"]');
  const buttonOf = (within, words) => [...within.querySelectorAll("button")].find((one) => one.textContent === words);
  const labelled = (within, words) => {
    const label = [...within.querySelectorAll("label")].find((one) => one.firstChild?.textContent === words);
    return label && document.getElementById(label.htmlFor);
  };
  const type = (input, text) => {
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const open = async () => {
    const door = [...document.querySelectorAll("button.foldmark-door")].find(
      (one) => one.textContent === "Set me another problem",
    );
    door.click();
    await wait(panel);
    return true;
  };
  const told = () => [...panel().children].find((one) => one.matches("p.foldmark-said"));
  const sheet = () => panel().querySelector(".foldmark-sheet");
  /** What the sheet shows; of `html` whether it is what is set. */
  const shown = (html) => {
    const before = document.createElement("div");
    before.innerHTML = html;
    return {
      code: panel().querySelector("p > code")?.textContent ?? "",
      isSet: sheet()?.previousElementSibling?.innerHTML === before.innerHTML,
      told: told().textContent,
      links: [...told().querySelectorAll("a")].map((one) => one.href),
      hasDrawing: !!sheet()?.querySelector(".foldmark-drawn svg"),
      remarks: sheet()?.querySelector(":scope > div > p.foldmark-said")?.textContent ?? "",
      tally: sheet()?.querySelector(":scope > div > p:last-child")?.textContent ?? "",
      fields: [...(sheet()?.querySelectorAll("input") ?? [])].map((input) => ({
        key: input.dataset.key,
        label: input.labels[0].firstChild.textContent,
        says: input.labels[0].querySelector("small")?.textContent ?? "",
        value: input.value,
        isFixed: input.readOnly,
        unit: input.nextElementSibling?.textContent ?? "",
        said: document.getElementById(`${input.id}-said`).textContent,
      })),
    };
  };
  /** Types a code, and waits for its sheet or for a word about it. */
  const code = async (text, html = "") => {
    told().replaceChildren();
    const before = sheet();
    type(labelled(panel(), "Or the code of a sheet"), text);
    buttonOf(panel(), "Open the sheet of this code").click();
    await wait(() => told().textContent || (sheet() && sheet() !== before));
    return shown(html);
  };
  /** Fills in fields, one after another. */
  const fill = (values) => {
    for (const [key, text] of Object.entries(values)) {
      const input = sheet().querySelector(`[data-key="${CSS.escape(key)}"]`);
      if (!input) throw new Error(`there is no field ${key}`);
      if (!input.readOnly) type(input, text);
    }
    return shown("");
  };
  /** The file that the page would save for a student of this name. */
  const save = async (name) => {
    type(labelled(panel(), "Your name"), name);
    let saved;
    const [make, click] = [URL.createObjectURL, HTMLAnchorElement.prototype.click];
    URL.createObjectURL = (blob) => ((saved = blob), "blob:nothing");
    HTMLAnchorElement.prototype.click = () => {};
    buttonOf(panel(), "Save my answers").click();
    [URL.createObjectURL, HTMLAnchorElement.prototype.click] = [make, click];
    return saved ? saved.text() : "";
  };
  return { open, code, fill, save };
})();
