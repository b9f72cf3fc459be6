// Making elements, and saying things to who listens.

let count = 0;
const newId = () => `foldmark-${++count}`;

/**
 * An element. Text is text, whatever stands in it.
 * @param {string} tag @param {Record<string, any>} [attributes] @param {...(Node | string | null | undefined)} inside
 * @returns {any}
 */
function el(tag, attributes = {}, ...inside) {
  const node = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (key === "value" && "value" in node) node.value = value;
    else node.setAttribute(key, value === true ? "" : String(value));
  }
  for (const one of inside) if (one !== null && one !== undefined) node.append(one);
  return node;
}
const button = (words, onclick, attributes = {}) => el("button", { type: "button", onclick, ...attributes }, words);
/** Told that something was taken out, with a way to have it back. @param {() => void} back */
function takenOut(told, words, back) {
  told.replaceChildren(
    `${words} `,
    button("Bring it back", () => {
      back();
      told.textContent = "It is there again.";
    }),
  );
}
/** HTML that the core made. @param {Element} node @param {string} html */
const fill = (node, html) => {
  node.innerHTML = html;
};

/** Says something to who listens rather than looks, once a moment has passed without more. */
const listener = el("p", { class: "foldmark-hidden", "aria-live": "polite", role: "status" });
/** @type {ReturnType<typeof setTimeout> | undefined} */
let saying;
function say(words) {
  clearTimeout(saying);
  saying = setTimeout(() => {
    listener.textContent = words;
  }, 300);
}
