/* The engine's worker for pages that are served. */
/*CORE*/
const PARTS = /*PARTS*/ null;

const here = (name) => new URL(name, import.meta.url).href;
const base = here(PARTS.folder + "/");
const send = (message) => self.postMessage(message);

let step = "Fetching the calculator engine";
let loaded = 0;
let total = 1;
let toldAt = -Infinity;
/* A new step is told at once; bytes, which come in hundreds of pieces, ten times a second. */
const report = (words) => {
  if (!words && performance.now() - toldAt < 100) return;
  toldAt = performance.now();
  step = words || step;
  send({ kind: "progress", loaded: Math.min(loaded, total), total, step });
};

/* What the page says of this start: "again" after a failure, "bytecode" when the kept memory was no use. It says so in
   the worker's name: a fragment of its address is lost where the service worker answers. */
const told = self.name.split("+");
const freshness = told.includes("again") ? { cache: "reload" } : {};

async function get(url, what) {
  let response;
  try {
    response = await fetch(url, freshness);
  } catch {
    throw new Error(`${what} could not be fetched`);
  }
  if (!response.ok) throw new Error(`${what} could not be fetched (the server said ${response.status})`);
  return response;
}

/* Counts the program's bytes as they arrive, on a copy, so that the browser can still keep compiled code for the
   original. */
async function counted(promise, size) {
  const response = await promise;
  const reader = response.clone().body.getReader();
  (async () => {
    let mine = 0;
    for (;;) {
      const { done, value } = await reader.read();
      const now = done ? size : Math.min(size, mine + value.length);
      loaded += now - mine;
      mine = now;
      report();
      if (done) return;
    }
  })().catch(() => {});
  return response;
}

/* The bytes of any other part, counted as they arrive. */
async function gathered(promise, size) {
  const reader = (await promise).body.getReader();
  const bytes = new Uint8Array(size);
  let at = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    if (at + value.length > size) throw new Error("a part of the engine is longer than it should be");
    bytes.set(value, at);
    at += value.length;
    loaded += value.length;
    report();
  }
  if (at < size) throw new Error("a part of the engine did not come whole");
  return bytes.buffer;
}

/* Held as long as this worker lives: the page waits for it, and so learns at once when the worker is gone. */
if (navigator.locks) {
  const name = "guide-engine " + Math.random().toString(36).slice(2) + Date.now().toString(36);
  navigator.locks.request(name, () => {
    send({ kind: "alive", lock: name });
    return new Promise(() => {});
  }).catch(() => {});
}

/* The kept memory starts sooner but weighs more than what it was made from: on a line that the browser calls slow, or
   for a reader who saves data, that turns round. */
async function wantsKept() {
  if (told.includes("bytecode")) return false;
  const line = navigator.connection;
  if (!line || !(line.saveData || (line.effectiveType && line.effectiveType !== "4g"))) return true;
  return Boolean(self.caches && (await caches.match(here(PARTS.memory)).catch(() => null)));
}

/* Fetches what one of the two ways to start needs and starts so. */
async function begin(kept) {
  total = PARTS.sizes.wasm + (kept ? PARTS.sizes.memory : PARTS.sizes.library + PARTS.sizes.calc);
  const wasm = counted(get(base + "pyodide.asm.wasm", "the Python runtime"), PARTS.sizes.wasm);
  const compiled = wasm.then((response) => WebAssembly.compileStreaming(response));
  const later = async (name) => (await get(here(PARTS.later[name]), "a part of the engine")).arrayBuffer();
  const parts = { base, compiled, later };
  const needed = [wasm];
  if (kept) {
    const pieces = gathered(get(here(PARTS.memory), "the started engine"), PARTS.sizes.memory).then(guideMemory);
    parts.kept = { ...PARTS.kept, pieces };
    parts.answer = async (name) => new Response(name === "library.zip" ? (await pieces).library : null);
    needed.push(pieces);
  } else {
    const library = gathered(get(base + "library.zip", "the Python library"), PARTS.sizes.library);
    parts.answer = async (name) => new Response(name === "library.zip" ? await library : null);
    parts.calc = gathered(get(here(PARTS.calc), "the calculators"), PARTS.sizes.calc);
    needed.push(library, parts.calc);
  }
  /* A part that can't be fetched ends the start at once: Pyodide itself would wait for ever. */
  const missing = new Promise((_, reject) => needed.forEach((part) => part.catch(reject)));
  for (const part of [compiled, missing, ...needed]) part.catch(() => {});
  report("Fetching the calculator engine");
  const script = (name, what) => import(base + name).catch(() => {
    throw new Error(`${what} could not be fetched`);
  });
  const [loader, runtime] = await Promise.all([
    script("pyodide.mjs", "the Python loader"), script("pyodide.asm.mjs", "the Python runtime's own script"),
  ]);
  Object.assign(parts, { loadPyodide: loader.loadPyodide, asm: runtime.default });
  return Promise.race([guideBoot(parts, report), missing]);
}

/* A browser makes fast what has run for a while. Loading calc runs long enough for that; a start from the kept memory
   does not. So calc answers to itself for two seconds in all, one answer at a time, in the pauses that the page
   leaves. */
function warmUp(respond) {
  const WHOLE = 2000, PAUSE = 300; /* ms */
  let spent = 0;
  let count = 0;
  const once = () => {
    if (performance.now() - asked > PAUSE) {
      const begun = performance.now();
      const calculator = ["groove", "current", "bend-ratio"][count++ % 3];
      respond(JSON.stringify({ do: "answer", calculator, inputs: {} }));
      spent += performance.now() - begun;
    }
    if (spent < WHOLE) setTimeout(once, performance.now() - asked > PAUSE ? 5 : PAUSE);
  };
  setTimeout(once, PAUSE);
}

let asked = -Infinity;
const kept = await wantsKept();
try {
  const respond = await begin(kept);
  const handle = guideServe(respond, send);
  self.onmessage = (event) => {
    asked = performance.now();
    handle(event.data);
  };
  loaded = total;
  report("Ready");
  send({ kind: "ready" });
  if (kept) warmUp(respond);
} catch (error) {
  /* What can't be done with the kept memory may still be done without: the page starts another worker for that. */
  send({ kind: kept ? "try-bytecode" : "failed", detail: String(error && error.message ? error.message : error) });
}
