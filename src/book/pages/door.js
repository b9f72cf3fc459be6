// What the doors of a page open.

globalThis.foldmark.open = async (kind, place, door, isAsked) => {
  await ready();
  if (!listener.isConnected) document.body.append(listener);
  const open = { own: openOwn, answers: openAnswers, practice: openPractice, try: openTry }[kind];
  const panel = open?.(place, door);
  // Who asked for it goes on in it; who merely came back to the page is left where they are.
  if (isAsked) panel?.querySelector("input, select, button, summary")?.focus();
};
