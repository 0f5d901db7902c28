/* The engine for pages opened from a folder: the build puts this text into the offline bundle, where it runs in a
   classic worker made from a Blob, or on the page itself when the browser refuses that. */
/*CORE*/

/* The bundle holds each part as base64 of gzip: the script stays small, and both steps are native code. */
async function guideBytes(base64) {
  let bytes;
  if (typeof Uint8Array.fromBase64 === "function") {
    bytes = Uint8Array.fromBase64(base64);
  } else {
    try {
      bytes = await (await fetch("data:application/octet-stream;base64," + base64)).blob();
    } catch {
      bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
    }
  }
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

/* Some browsers refuse to import blob: addresses here but take data: ones. */
async function guideImport(buffer) {
  const url = URL.createObjectURL(new Blob([buffer], { type: "text/javascript" }));
  try {
    return await import(url);
  } catch {
    const text = new TextDecoder().decode(buffer);
    return await import("data:text/javascript;charset=utf-8," + encodeURIComponent(text));
  } finally {
    URL.revokeObjectURL(url);
  }
}

async function guideBootOffline(bundle, send) {
  const total = Object.values(bundle.sizes).reduce((sum, size) => sum + size, 0);
  let loaded = 0;
  let step = "Unpacking the calculator engine";
  const report = (words) => {
    step = words || step;
    send({ kind: "progress", loaded, total, step });
  };
  try {
    report();
    const unpack = async (name) => {
      const buffer = await guideBytes(bundle.parts[name]);
      loaded += bundle.sizes[name];
      report();
      return buffer;
    };
    const base = "https://engine.invalid/"; /* never leaves this function: guideWithParts answers it */
    const wasm = unpack("wasm");
    const library = unpack("library");
    const calc = unpack("calc");
    const scripts = Promise.all([unpack("loader").then(guideImport), unpack("asm").then(guideImport)]);
    const [loader, asm] = await scripts;
    const answers = {
      "pyodide.asm.wasm": async () => new Response(await wasm, { headers: { "Content-Type": "application/wasm" } }),
      "library.zip": async () => new Response(await library),
    };
    const missing = (name) => Promise.reject(new Error(name + " is not in the bundle"));
    const answer = (name) => (answers[name] ? answers[name]() : missing(name));
    const later = (name) => guideBytes(bundle.parts[name]);
    const parts = { base, loadPyodide: loader.loadPyodide, asm: asm.default, calc, answer, later };
    const handle = guideServe(await guideBoot(parts, report), send);
    report("Ready");
    send({ kind: "ready" });
    return handle;
  } catch (error) {
    send({ kind: "failed", detail: String(error && error.message ? error.message : error) });
    return () => {};
  }
}
