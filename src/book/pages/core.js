// The core as a module, and what it was given to know.

const { name: lessonName, root, kept, keep, load, reach, taken } = globalThis.foldmark;

/** @type {Promise<(request: object) => any> | undefined} */
let starting;

/** The core as a module; it stands in a script as text, since a page opened from a folder may load nothing else. */
function start() {
  starting ??= (async () => {
    const letters = atob(globalThis.foldmarkEngine);
    // A plain loop is ten times as quick as any shorter way.
    const packed = new Uint8Array(letters.length);
    for (let at = 0; at < letters.length; at++) packed[at] = letters.charCodeAt(at);
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    const module = await WebAssembly.compile(await new Response(stream).arrayBuffer());
    /** @returns {any} */
    const fresh = () => new WebAssembly.Instance(module, {}).exports;
    let core = fresh();
    const send = (request) => {
      const bytes = new TextEncoder().encode(JSON.stringify(request));
      const room = core.room(bytes.length);
      new Uint8Array(core.memory.buffer, room, bytes.length).set(bytes);
      // Memory may have grown by then, so it is looked at after the answer.
      const answer = core.answer();
      const [start, length] = new Uint32Array(core.memory.buffer, answer, 2);
      return JSON.parse(new TextDecoder().decode(new Uint8Array(core.memory.buffer, start, length)));
    };
    return (request) => {
      let answer;
      try {
        answer = send(request);
      } catch (error) {
        // It gave up, and a new one knows only what it is given again.
        core = fresh();
        given.forEach(send);
        answer = { fault: `this could not be worked out (${error})` };
      }
      if (answer.fault) answer.fault = `${answer.fault[0].toUpperCase()}${answer.fault.slice(1)}.`;
      return answer;
    };
  })().catch((error) => {
    starting = undefined;
    throw new Error(`This browser does not let the page work (${error.message}). A newer one may, or another.`);
  });
  return starting;
}

/** What the core was given to know. @type {object[]} */
const given = [];
/** @type {(request: object) => any} */
let ask = () => ({});

let lesson;

let drafts = [];
/** Which draft homework is about, by the number of its part. @type {Map<number, number>} */
let homework = new Map();

async function ready() {
  if (lesson) return;
  ask = await start();
  const found = taken.get(`lesson ${lessonName}`);
  await Promise.all(found.exercises.map((name) => learn(name)));
  const chapter = { ask: "chapter", path: found.path, found: found.found };
  const answer = ask(chapter);
  if (answer.fault) throw new Error(answer.fault);
  given.push(chapter);
  drafts = answer.drafts;
  homework = new Map(answer.homework);
  lesson = found;
}

/** Has the core read an exercise. @param {string} name */
async function learn(name) {
  await load(`exercises/${name}.js`);
  const give = { ask: "exercise", name, text: taken.get(`exercise ${name}`) };
  if (given.some((known) => known.ask === "exercise" && known.name === name)) return;
  const answer = ask(give);
  if (answer.fault) throw new Error(answer.fault);
  given.push(give);
}
