// In a lesson's page: opens everything that it has, types into every field, presses every button.

globalThis.trial = (() => {
  const rest = (time) => new Promise((done) => setTimeout(done, time));
  const wait = async (is, what) => {
    for (let left = 1000; left > 0; left--) {
      if (is()) return;
      await rest(5);
    }
    throw new Error(`${what} did not come`);
  };
  const doors = () => [...document.querySelectorAll("button.foldmark-door")].filter((one) => !one.hidden);
  const type = (input, text) => {
    input.focus();
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const press = async (panel, words) => {
    const button = [...panel.querySelectorAll("button")].find((one) => one.textContent === words);
    if (!button) throw new Error(`no button “${words}” in ${panel.ariaLabel}`);
    button.click();
    await rest(30);
  };
  const open = async (words) => {
    const door = doors().find((one) => one.textContent === words);
    if (!door) throw new Error(`no door “${words}”`);
    door.click();
    await wait(() => door.hidden, words);
  };
  const panel = (label) => document.querySelector(`section[aria-label="${label}"]`);
  const use = async (codes) => {
    window.print = () => window.dispatchEvent(new Event("afterprint"));
    await open("Let me try each step before it is shown");
    const check = [...document.querySelectorAll("button")].find((one) => one.textContent === "Check");
    type(check.closest(".foldmark-panel").querySelector("input"), "4");
    check.click();
    [...document.querySelectorAll("button")].filter((one) => one.textContent === "Show me").forEach((one) => one.click());
    await open("Work this with my own objects");
    for (const input of panel("My own objects").querySelectorAll("input")) {
      const { key } = input.dataset;
      // What matters only with another word may stay, unseen: it has to be within its range.
      type(input, key.endsWith(".name") ? "<img src=x> bodkin" : /\.\d+\./.test(key) ? "3" : "1");
      await rest(5);
    }
    for (const select of panel("My own objects").querySelectorAll("select")) {
      for (let at = 0; at < select.options.length; at++) {
        select.selectedIndex = at;
        select.dispatchEvent(new Event("change", { bubbles: true }));
        await rest(5);
      }
    }
    for (const more of document.querySelectorAll('button[aria-label$="a tick more"]')) more.click();
    for (const detail of document.querySelectorAll("details")) detail.open = true;
    await open("Fill in my answers here");
    for (const detail of document.querySelectorAll("details")) detail.open = true;
    const answers = panel("My answers");
    // What is given has to be sound, or nothing is saved; left empty it is as usual.
    const given = (key) => (key.endsWith(".count") ? "1" : /\.\d+\./.test(key) ? "9" : "");
    // What is typed may change which lines there are, so each is looked for anew.
    for (let at = 0; at < answers.querySelectorAll("input").length; at++) {
      const input = answers.querySelectorAll("input")[at];
      const key = input.dataset.key ?? "";
      type(input, key.startsWith("given.") ? given(key) : "9 1/2");
      await rest(5);
    }
    await press(answers, "Save my answers");
    await press(answers, "Copy as text");
    await press(answers, "Print");
    await open("Set me another problem");
    const practice = panel("Practice");
    await press(practice, "Set a problem");
    for (const input of [...practice.querySelectorAll(".foldmark-sheet input")]) type(input, "9");
    await press(practice, "Show the worked key");
    const code = [...practice.querySelectorAll("input")].find((one) => one.closest(".foldmark-field").textContent.startsWith("Or the code"));
    for (const text of codes) {
      type(code, text);
      await press(practice, "Open the sheet of this code");
      await rest(200);
    }
    for (const button of document.querySelectorAll(".foldmark-units button")) button.click();
    await press(answers, "Close");
    await press(practice, "Close");
    await press(document.querySelector(".foldmark-bar"), "Back to the lesson’s kit");
    await rest(400);
    return document.querySelectorAll("button.foldmark-door").length;
  };
  /** What mdBook itself offers: its themes, its table of contents, its search. */
  const book = async () => {
    for (const id of ["mdbook-theme-coal", "mdbook-theme-light", "coal", "light"]) document.getElementById(id)?.click();
    for (const id of ["mdbook-sidebar-toggle", "mdbook-search-toggle"]) document.getElementById(id)?.click();
    const search = document.querySelector("input[type=search]");
    if (!search) throw new Error("the book can't be searched");
    await wait(() => globalThis.elasticlunr && !search.disabled, "the search").catch(() => {});
    search.focus();
    search.value = "seam";
    search.dispatchEvent(new Event("input", { bubbles: true }));
    search.dispatchEvent(new KeyboardEvent("keyup", { key: "m", bubbles: true }));
    await wait(() => document.querySelectorAll("[id$=searchresults] li").length > 0, "anything that was searched for");
    return document.querySelectorAll("[id$=searchresults] li").length;
  };
  return { use, book };
})();
