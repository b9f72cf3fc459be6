// The core as a module, and what it was given to know.

const { name: lessonName, root, kept, keep, load, reach, taken } = globalThis.foldmark;

/** @type {Promise<(request: object, bytes?: Uint8Array) => any> | undefined} */
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
    /** Bytes that belong to a request or an answer stand after it, on a line of their own. */
    const send = (request, bytes) => {
      const text = new TextEncoder().encode(JSON.stringify(request) + (bytes ? "\n" : ""));
      const length = text.length + (bytes?.length ?? 0);
      const start = core.room(length);
      const room = new Uint8Array(core.memory.buffer, start, length);
      room.set(text);
      if (bytes) room.set(bytes, text.length);
      // Memory may have grown by then, so it is looked at after the answer.
      const at = core.answer();
      const place = new Uint32Array(core.memory.buffer, at, 2);
      const told = new Uint8Array(core.memory.buffer, place[0], place[1]);
      const end = told.indexOf(10);
      const answer = JSON.parse(new TextDecoder().decode(end < 0 ? told : told.subarray(0, end)));
      if (end >= 0) answer.bytes = told.slice(end + 1);
      return answer;
    };
    return (request, bytes) => {
      let answer;
      try {
        answer = send(request, bytes);
      } catch (error) {
        // It gave up, and a new one knows only what it is given again.
        core = fresh();
        for (const [known, its] of given) send(known, its);
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

/** What the core was given to know, with the bytes that belong to it. @type {[any, Uint8Array?][]} */
const given = [];
/** @type {(request: object, bytes?: Uint8Array) => any} */
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
  given.push([chapter]);
  drafts = answer.drafts;
  homework = new Map(answer.homework);
  lesson = found;
}

/** Has the core read an exercise. @param {string} name */
async function learn(name) {
  await load(`exercises/${name}.js`);
  const give = { ask: "exercise", name, text: taken.get(`exercise ${name}`) };
  if (given.some(([known]) => known.ask === "exercise" && known.name === name)) return;
  const answer = ask(give);
  if (answer.fault) throw new Error(answer.fault);
  given.push([give]);
}
