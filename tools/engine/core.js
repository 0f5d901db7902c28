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

/* Runs `work` while fetches below `base` are answered by `answer(name)`; other fetches go out as usual. */
async function guideWithFetch(base, answer, work) {
  const scope = globalThis;
  const real = scope.fetch;
  scope.fetch = (input, init) => {
    const url = String(input && input.url ? input.url : input);
    return url.startsWith(base) ? Promise.resolve(answer(url.slice(base.length))) : real.call(scope, input, init);
  };
  try {
    return await work();
  } finally {
    scope.fetch = real;
  }
}

/* Returns a function from request text to answer text.
   parts: {base, loadPyodide, asm (optional factory), answer(name) -> Response promise, calc -> ArrayBuffer promise} */
async function guideBoot(parts, report) {
  const watch = guideWasmFailure();
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
    const boot = guideWithFetch(parts.base, parts.answer, () => parts.loadPyodide(options));
    const py = await Promise.race([boot, watch.failed]);
    report("Loading the calculators");
    py.FS.mkdirTree("/guide");
    py.FS.writeFile("/guide/calc.zip", new Uint8Array(await parts.calc));
    py.runPython("import sys; sys.path.insert(0, '/guide/calc.zip')");
    const web = py.pyimport("calc.web");
    return (text) => web.respond(text);
  } finally {
    watch.restore();
  }
}

/* Wires an answering function to a message port: {id, text} in, {kind, id, text} out. */
function guideServe(respond, send) {
  return (message) => {
    globalThis.calc_progress = (text) => send({ kind: "calc-progress", id: message.id, text: String(text) });
    try {
      send({ kind: "answer", id: message.id, text: respond(message.text) });
    } catch (error) {
      /* What is no Python exception has broken the runtime itself: it would answer nothing any more. */
      const dead = !(error && error.name === "PythonError");
      send({ kind: "error", id: message.id, dead, detail: String(error && error.message ? error.message : error) });
    }
  };
}
