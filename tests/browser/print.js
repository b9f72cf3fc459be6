// Evaluated in a page as it is on paper, in a window as wide as a page is inside its margins; takes the page's height there.
// Returns what there is to count and a list of what is wrong.
((height) => {
  const complaints = [];
  const quote = (element) => `<${element.localName}> “${element.textContent.trim().slice(0, 30)}”`;
  const seen = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const all = (selector) => [...document.querySelectorAll(selector)];

  for (const details of all("details")) {
    const display = (part) => getComputedStyle(part).display;
    // What has no box of its own is as its parts are.
    const parts = [...details.children].flatMap((part) => (display(part) === "contents" ? [...part.children] : [part]));
    const shown = parts.filter((part) => display(part) !== "none");
    for (const part of shown) if (!seen(part)) complaints.push(`can't be read: ${quote(part)}`);
  }
  for (const control of all("button, select, textarea, input:not([disabled])")) {
    if (seen(control)) complaints.push(`nobody can press it on paper: ${quote(control)}`);
  }
  const both = [".foldmark-inch", ".foldmark-metric"].map((unit) => all(unit).find((part) => part.getClientRects().length || [...part.children].some(seen)));
  if (both[0] && both[1]) complaints.push(`two systems of units: ${both.map(quote).join(" and ")}`);
  const figures = all("figure.foldmark").filter(seen);
  for (const figure of figures) {
    const tall = figure.getBoundingClientRect().height;
    if (tall > height) complaints.push(`${tall.toFixed(0)} px high where ${height} px fit: ${quote(figure)}`);
  }
  for (const part of all("main *")) {
    const right = part.getBoundingClientRect().right;
    const isWide = right > window.innerWidth + 0.5 && seen(part) && !part.closest("defs");
    if (isWide && ![...part.children].some((child) => child.getBoundingClientRect().right >= right)) {
      complaints.push(`cut off at the right: ${quote(part)}`);
    }
  }
  return { complaints, figures: figures.length, headings: all("main :is(h1, h2, h3, h4, h5, h6)").filter(seen).length };
})
