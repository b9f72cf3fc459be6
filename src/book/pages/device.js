// What is kept on this device.

const read = (name, otherwise) => {
  try {
    const value = JSON.parse(kept(name) ?? "null");
    return value && typeof value === "object" ? { ...otherwise, ...value } : otherwise;
  } catch {
    return otherwise;
  }
};
let isKept = keep("tried", "");
const write = (name, value) => {
  isKept = keep(name, JSON.stringify(value)) && isKept;
};
const keepingNote = () =>
  isKept
    ? "Kept on this device until you clear it. Nothing leaves it by itself."
    : "This device keeps nothing for this page: save your answers before you leave it.";

/** Something that is kept under a name, and told of when another window of the lesson changes it. */
class Kept {
  /** @param {string} name @param {Record<string, any>} otherwise */
  constructor(name, otherwise) {
    this.name = name;
    this.otherwise = otherwise;
    this.value = read(name, otherwise);
    /** @type {Set<(source: any) => void>} */
    this.watchers = new Set();
    window.addEventListener("storage", (event) => {
      if (event.key !== `foldmark-${this.name}` && event.key !== null) return;
      this.value = read(name, otherwise);
      this.tell(null);
    });
  }
  /** @param {any} [source] */
  save(source = null) {
    write(this.name, this.value);
    this.tell(source);
  }
  /** @param {any} source */
  tell(source) {
    for (const watcher of this.watchers) watcher(source);
  }
}

/** What is kept under a name, the same for all that ask. @type {Map<string, Kept>} */
const shelf = new Map();
function shelved(name, otherwise) {
  const known = shelf.get(name) ?? new Kept(name, otherwise);
  shelf.set(name, known);
  return known;
}
const student = () => shelved("student", { name: "" });
const answersOf = (exercise) => shelved(`answers-${exercise}`, { answers: {}, unit: "" });

// A judgement moves what is below it: while a button is pressed it waits, so that the press is not lost.
let isPressed = false;
/** @type {(() => void)[]} */
const waiting = [];
document.addEventListener("mousedown", () => (isPressed = true), true);
document.addEventListener(
  "mouseup",
  () =>
    setTimeout(() => {
      isPressed = false;
      for (const call of waiting.splice(0)) call();
    }),
  true,
);
const whenReleased = (call) => {
  if (isPressed) waiting.push(call);
  else call();
};
