// The desk is a file by itself: there is no book around it that would keep or load anything.

/** @type {Foldmark} */
const alone = {
  name: "desk",
  root: "",
  kept: () => null,
  keep: () => false,
  reach: () => {},
  load: async () => {},
  taken: new Map(),
  take: () => {},
  open: async () => {},
};
globalThis.foldmark = alone;
