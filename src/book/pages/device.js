// What is kept on this device.

const read = (name, otherwise) => {
  try {
    const value = JSON.parse(kept(name) ?? "null");
    return value && typeof value === "object" ? { ...otherwise, ...value } : otherwise;
  } catch {
    return otherwise;
  }
};
let isKept = true;
const write = (name, value) => {
  isKept = keep(name, JSON.stringify(value));
};
const keepingNote = () =>
  isKept
    ? "Kept on this device until you clear it. Nothing leaves it by itself."
    : "This device keeps nothing for this page: save your answers before you leave it.";
