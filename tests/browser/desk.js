// What an instructor does on the desk's page.

globalThis.trial = {
  async until(is, what) {
    for (let at = 0; at < 2000; at++) {
      const found = is();
      if (found) return found;
      await new Promise((done) => setTimeout(done, 10));
    }
    throw new Error(`in vain: ${what}`);
  },
  /** A button by what stands on it, once it is there. */
  button: (words) =>
    trial.until(
      () => [...document.querySelectorAll("button")].find((one) => one.textContent === words && one.checkVisibility()),
      words,
    ),
  async press(words) {
    (await trial.button(words)).click();
  },
  /** What stands in the part of this title. */
  part: (title) => [...document.querySelectorAll("section")].find((one) => one.querySelector("h2")?.textContent === title),
  told: () => document.querySelector(".told").textContent,
  /** Once files have been taken in. */
  taken: () => trial.until(() => /on the desk/.test(trial.told()) && trial.told(), "files on the desk"),
  /** A field by the beginning of its label. */
  field(label) {
    const found = [...document.querySelectorAll("label")].find((one) => one.textContent.startsWith(label));
    return document.getElementById(found.htmlFor);
  },
  fill(label, text) {
    const input = trial.field(label);
    input.value = text;
    for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, { bubbles: true }));
  },
  /** The page that is shown, once it is that of this name. */
  async page(name) {
    const frame = document.querySelector("iframe");
    await trial.until(() => frame.dataset.page === name, name);
    return frame.contentDocument;
  },
};
