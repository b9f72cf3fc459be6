// Before a page's own scripts: notes when the engine is ready, and where the time goes between a touch and the end of the
// frame that shows what came of it.

globalThis.trial = (() => {
  const now = () => performance.now();
  const at = {};
  let engine = 0;
  const { Instance, compile } = WebAssembly;
  WebAssembly.Instance = function (...how) {
    const { answer, ...rest } = new Instance(...how).exports;
    const timed = () => {
      const begun = now();
      const place = answer();
      engine += now() - begun;
      return place;
    };
    return { exports: { ...rest, answer: timed } };
  };
  WebAssembly.compile = async (bytes) => {
    at.unpacked = now();
    const module = await compile.call(WebAssembly, bytes);
    at.compiled = now();
    return module;
  };
  const Unpacking = globalThis.DecompressionStream;
  globalThis.DecompressionStream = class extends Unpacking {
    constructor(kind) {
      at.loaded = now();
      super(kind);
    }
  };
  const frame = () => new Promise((done) => requestAnimationFrame(done));
  /** The end of a frame: what is posted in it is read after all of it is laid out and painted. */
  const painted = () =>
    new Promise((done) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => done(now());
      port2.postMessage(0);
    });

  /** From a click on the first door to the panel, and to the end of the frame that shows it. */
  const open = async () => {
    await frame();
    const door = document.querySelector("button.foldmark-door");
    const there = new Promise((done) => {
      new MutationObserver((_, watch) => {
        if (!document.querySelector("section.foldmark-panel")) return;
        watch.disconnect();
        done(now());
      }).observe(document.body, { childList: true, subtree: true });
    });
    const begun = now();
    door.click();
    const ready = await there;
    await frame();
    const end = await painted();
    return {
      ready: ready - begun,
      seen: end - begun,
      load: at.loaded - begun,
      unpack: at.unpacked - at.loaded,
      compile: at.compiled - at.unpacked,
      engine,
      rest: ready - at.compiled - engine,
    };
  };

  const touches = [];
  /** Notes every touch of this kind, from when the browser had it. @param {string} kind */
  const watch = (kind) => {
    let touch;
    const begin = (event) => {
      const mine = { begun: event.timeStamp, heard: now(), engine };
      touch = mine;
      requestAnimationFrame(() => (mine.frame = now()));
    };
    const end = () => {
      const mine = touch;
      mine.handled = now();
      // Asked for after the page has asked for its frame, so that it comes last in it.
      requestAnimationFrame(async () => {
        mine.worked = now();
        mine.engine = engine - mine.engine;
        const end = await painted();
        const script = mine.handled - mine.heard + (mine.worked - mine.frame) - mine.engine;
        touches.push({
          whole: end - mine.begun,
          work: mine.handled - mine.heard + (end - mine.frame),
          engine: mine.engine,
          script,
          paint: end - mine.worked,
        });
      });
    };
    window.addEventListener(kind, begin, true);
    window.addEventListener(kind, end);
  };
  const rest = (time) => new Promise((done) => setTimeout(done, time));

  /** Puts a measure into the first length of the form, and marks the digit that is typed anew. */
  let digit;
  const mark = async () => {
    const input = document.activeElement;
    input.setSelectionRange(digit, digit + 1);
    await frame();
    await rest(25);
  };
  const begin = async () => {
    const input = document.querySelector('section[aria-label="My own objects"] input[data-key$=".length"]');
    const [, whole] = /^(\d+)/.exec(input.value);
    input.value = input.value.replace(/^\d+( \d+\/\d+)?/, `${whole}.5`);
    digit = whole.length + 1;
    input.focus();
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await rest(500);
    watch("input");
    return input.value;
  };
  /** Has the largest figure in sight. */
  const prepare = async () => {
    const size = (node) => node.getBoundingClientRect().height;
    const figures = [...document.querySelectorAll("[data-part] svg")].sort((one, other) => size(other) - size(one));
    figures[0].scrollIntoView({ block: "center" });
    await rest(500);
    watch("click");
  };
  /** Moves a choice a tick to and fro. */
  const choose = async (count) => {
    const group = document.querySelector(".foldmark-choice");
    for (let at = 0; at < count; at++) {
      const [less, more] = group.querySelectorAll("button");
      const way = at % 2 === 0 ? [more, less] : [less, more];
      (way[0].getAttribute("aria-disabled") === "true" ? way[1] : way[0]).click();
      await frame();
      await rest(25);
    }
    return touches.length;
  };
  return { open, begin, mark, prepare, choose, touches };
})();
