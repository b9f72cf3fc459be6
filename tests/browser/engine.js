// In a blank page with engine.js: begins the engine, and has it answer one request after another.

globalThis.trial = (() => {
  let module, core;
  const fresh = () => new WebAssembly.Instance(module, {}).exports;
  const begin = async () => {
    const packed = Uint8Array.from(atob(globalThis.foldmarkEngine), (letter) => letter.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    module = await WebAssembly.compile(await new Response(stream).arrayBuffer());
    core = fresh();
    return WebAssembly.Module.imports(module).length;
  };
  // Not one byte of an answer is passed over: what is no UTF-8 throws, and a mark of byte order stays.
  const decoder = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
  const bytes = (request) =>
    typeof request === "string" ? new TextEncoder().encode(request) : Uint8Array.from(request);
  const answer = (request) => {
    const sent = bytes(request);
    const begun = performance.now();
    try {
      const room = core.room(sent.length);
      new Uint8Array(core.memory.buffer, room, sent.length).set(sent);
      const place = core.answer();
      const [start, length] = new Uint32Array(core.memory.buffer, place, 2);
      const took = performance.now() - begun;
      return { took, says: decoder.decode(new Uint8Array(core.memory.buffer, start, length)) };
    } catch (error) {
      core = fresh();
      return { trap: String(error) };
    }
  };
  return { begin, answers: (requests) => requests.map(answer), size: () => core.memory.buffer.byteLength };
})();
