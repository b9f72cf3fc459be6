// Evaluated in a page. Returns what is wrong with it for who hears it, and the words that are to be seen in its text, in order.
(() => {
  const complaints = [];
  const all = (selector) => [...document.querySelectorAll(selector)];
  const quote = (element) => `<${element.localName}> “${element.textContent.trim().slice(0, 30)}”`;

  const language = document.documentElement.lang;
  if (!/^[a-z]{2,3}(-|$)/.test(language)) complaints.push(`the page's language is “${language}”`);
  const ids = all("[id]").map((element) => element.id);
  for (const id of new Set(ids.filter((id, at) => ids.indexOf(id) !== at))) complaints.push(`two have the id “${id}”`);
  for (const key of ["aria-labelledby", "aria-describedby"]) {
    for (const element of all(`main [${key}]`)) {
      for (const id of element.getAttribute(key).split(/\s+/)) {
        if (!element.contains(document.getElementById(id))) complaints.push(`${quote(element)} has no “${id}” of its own`);
      }
    }
  }
  for (const head of all("main th:not([scope])")) {
    if (!head.closest("thead")) complaints.push(`the head of nothing: ${quote(head)}`);
  }

  // What is written in a drawing is told: every measure, and every word.
  for (const drawing of all("main figure.foldmark svg[role=img]")) {
    const plain = (text) => text.toLowerCase().replaceAll("⁄", "/").replace(/[\s,;:.()]+/g, " ");
    const [name, description] = ["aria-label", "aria-description"].map((key) => drawing.getAttribute(key) ?? "");
    const told = " " + plain(`${name} ${description}`);
    const measure = /[0-9][0-9 /.]*(in|cm|mm)\b/g;
    for (const text of drawing.querySelectorAll("text")) {
      const lines = [...text.querySelectorAll("tspan[x]")].map((line) => line.textContent).join(" ");
      const written = plain(lines || text.textContent).trim();
      const parts = [...(written.match(measure) ?? []), ...written.replace(measure, " ").split(" ")];
      const untold = parts.filter((part) => !/^\d*$/.test(part) && !told.includes(" " + part.trim()));
      if (untold.length) complaints.push(`“${untold.join(" ")}” is only seen in “${name}”`);
    }
  }

  // Drawings have a name and a description in place of what is written in them.
  const SILENT = "svg, style, script, [aria-hidden=true], [hidden]";
  let words = "";
  const read = (part) => {
    if (part.nodeType === Node.TEXT_NODE) words += part.data;
    if (part.nodeType !== Node.ELEMENT_NODE || part.matches(SILENT) || getComputedStyle(part).display === "none") return;
    // What the style puts before: a text in quotation marks.
    words += getComputedStyle(part, "::before").content.match(/^"(.*)"$/)?.[1] ?? "";
    const isClosed = part.localName === "details" && !part.open;
    for (const child of part.childNodes) if (!isClosed || child.localName === "summary") read(child);
  };
  for (const main of all("main")) read(main);
  return { complaints, words, figures: all("main figure.foldmark").filter((figure) => figure.checkVisibility()).length };
})()
