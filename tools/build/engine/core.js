/* Starts Pyodide and answers requests with calc. The build puts this text into the module worker (served pages) and
   into the offline bundle (pages opened from a folder), so both start the engine in the same way. */
"use strict";

const GUIDE_LOCK = /*LOCK*/ null;

/* Pyodide only logs a failed WebAssembly start and then never settles, so the log line is turned into an error. */
function guideWasmFailure() {
  const warn = console.warn;
  let restore = () => { console.warn = warn; };
  const failed = new Promise((_, reject) => {
    let seen = false;
    console.warn = (...args) => {
      if (seen) {
        reject(new Error("WebAssembly did not start: " + String(args[0])));
      } else if (String(args[0]).startsWith("wasm instantiation failed")) {
        seen = true;
      } else {
        warn.apply(console, args);
      }
    };
  });
  failed.catch(() => {});
  return { failed, restore };
}

/* Runs `work` while fetches below `base` are answered by `answer(name)` (other fetches go out as usual) and while the
   runtime, where it comes compiled, is made from that. */
async function guideWithParts({ base, answer, compiled, kept }, work) {
  const scope = globalThis;
  const real = scope.fetch;
  const streaming = WebAssembly.instantiateStreaming;
  scope.fetch = (input, init) => {
    const url = String(input && input.url ? input.url : input);
    return url.startsWith(base) ? Promise.resolve(answer(url.slice(base.length))) : real.call(scope, input, init);
  };
  if (compiled) {
    WebAssembly.instantiateStreaming = async (_, imports) => {
      const module = await compiled;
      const instance = await WebAssembly.instantiate(module, imports);
      if (kept) kept.pure = new Uint8Array(instance.exports.memory.buffer, 0, kept.filled).slice();
      return { module, instance };
    };
  }
  try {
    return await work();
  } finally {
    scope.fetch = real;
    WebAssembly.instantiateStreaming = streaming;
  }
}

/* The pieces of the file that memory.mjs writes. */
function guideMemory(buffer) {
  const [head, runs, bytes, library, calc] = new Uint32Array(buffer, 0, 5);
  let at = 20;
  const take = (length) => new Uint8Array(buffer, (at += length) - length, length);
  const pieces = { runs: new Uint32Array(buffer, at, 2 * runs) };
  at += 8 * runs;
  Object.assign(pieces, { head: take(head), bytes: take(bytes), library: take(library), calc: take(calc) });
  if (at !== buffer.byteLength) throw new Error("the kept memory is not whole");
  return pieces;
}

/* Makes the memory of a new runtime the one that was kept, to the byte: first as it was before the runtime wrote
   anything of this browser into it, then with the runs. */
function guideRestore(kept, pieces, memory) {
  memory.set(kept.pure);
  memory.fill(0, kept.filled, kept.touched);
  let at = 0;
  for (let n = 0; n < pieces.runs.length; n += 2) {
    const length = pieces.runs[n + 1];
    memory.set(pieces.bytes.subarray(at, at + length), pieces.runs[n]);
    at += length;
  }
}

/* Returns a function from request text to answer text.
   parts: {base, loadPyodide, asm (optional factory), compiled (optional module promise), answer(name) -> Response
   promise, later(name) -> ArrayBuffer promise, and either calc -> ArrayBuffer promise, or, for a Python that has calc
   loaded, kept: {pieces -> promise} and what memory.mjs says about it} */
async function guideBoot(parts, report) {
  const watch = guideWasmFailure();
  const { kept } = parts;
  try {
    report("Starting Python");
    const options = {
      indexURL: parts.base,
      packageBaseUrl: parts.base,
      stdLibURL: parts.base + "library.zip",
      /* No package is ever installed: an empty lock saves a request. */
      lockFileContents: GUIDE_LOCK,
    };
    if (parts.asm) options.createPyodideModule = parts.asm;
    if (kept) {
      /* Pyodide reads the head only when the runtime stands: it is filled by then. */
      options._loadSnapshot = new Uint8Array(kept.head);
      options.createPyodideModule = async (settings) => {
        const [runtime, pieces] = await Promise.all([parts.asm(settings), kept.pieces]);
        guideRestore(kept, pieces, runtime.HEAPU8);
        options._loadSnapshot.set(pieces.head);
        return runtime;
      };
    }
    const boot = guideWithParts(parts, () => parts.loadPyodide(options));
    const py = await Promise.race([boot, watch.failed]);
    report("Loading the calculators");
    py.FS.mkdirTree("/guide");
    py.FS.writeFile("/guide/calc.zip", kept ? (await kept.pieces).calc : new Uint8Array(await parts.calc));
    if (!kept) py.runPython("import sys; sys.path.insert(0, '/guide/calc.zip')");
    const web = py.pyimport("calc.web");
    const respond = (text) => web.respond(text);
    /* A part that no start needs: fetched when an answer asks for it. */
    respond.add = async (name) => {
      const bytes = await parts.later(name);
      py.FS.writeFile(`/guide/${name}.zip`, new Uint8Array(bytes));
      py.runPython(`import sys, importlib; sys.path.append('/guide/${name}.zip'); importlib.invalidate_caches()`);
    };
    return respond;
  } finally {
    watch.restore();
  }
}

/* Wires an answering function to a message port: {id, text} in, {kind, id, text} out. An answer that needs a part is
   kept back, the part is fetched, and the same is asked once more. */
function guideServe(respond, send) {
  return function handle(message) {
    globalThis.calc_progress = (text) => send({ kind: "calc-progress", id: message.id, text: String(text) });
    try {
      const text = respond(message.text);
      const needs = message.again || !text.startsWith('{"needs"') ? "" : JSON.parse(text).needs;
      /* Without the part the second answer does without, and says so. */
      if (needs) respond.add(needs).catch(() => {}).then(() => handle({ ...message, again: true }));
      else send({ kind: "answer", id: message.id, text });
    } catch (error) {
      /* What is no Python exception has broken the runtime itself: it would answer nothing any more. */
      const dead = !(error && error.name === "PythonError");
      send({ kind: "error", id: message.id, dead, detail: String(error && error.message ? error.message : error) });
    }
  };
}
