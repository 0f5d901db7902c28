/* The engine's worker for pages that are served. */
/*CORE*/
const PARTS = /*PARTS*/ null;

const here = (name) => new URL(name, import.meta.url).href;
const base = here(PARTS.folder + "/");
const send = (message) => self.postMessage(message);

let step = "Fetching the calculator engine";
let loaded = 0;
const report = (words) => {
  step = words || step;
  send({ kind: "progress", loaded, total: PARTS.total, step });
};

const freshness = self.location.hash === "#again" ? { cache: "reload" } : {};

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

/* Counts a part's bytes as they arrive, on a copy, so that the browser can still keep compiled code for the original. */
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

/* Held as long as this worker lives: the page waits for it, and so learns at once when the worker is gone. */
if (navigator.locks) {
  const name = "guide-engine " + Math.random().toString(36).slice(2) + Date.now().toString(36);
  navigator.locks.request(name, () => {
    send({ kind: "alive", lock: name });
    return new Promise(() => {});
  }).catch(() => {});
}

const wasm = counted(get(base + "pyodide.asm.wasm", "the Python runtime"), PARTS.sizes.wasm);
const library = counted(get(base + "library.zip", "the Python library"), PARTS.sizes.library);
const calc = counted(get(here(PARTS.calc), "the calculators"), PARTS.sizes.calc).then((r) => r.arrayBuffer());
const answers = { "pyodide.asm.wasm": wasm, "library.zip": library };
for (const part of [wasm, library, calc]) part.catch(() => {});

try {
  report();
  const script = import(base + "pyodide.mjs").catch(() => {
    throw new Error("the Python loader could not be fetched");
  });
  /* Fetched beside the rest; Pyodide imports the same module later. */
  import(base + "pyodide.asm.mjs").catch(() => {});
  const { loadPyodide } = await script;
  const parts = { base, loadPyodide, calc, answer: (name) => answers[name] || get(base + name, name) };
  /* A part that can't be fetched ends the start at once: Pyodide itself would wait for ever. */
  const missing = new Promise((_, reject) => [wasm, library, calc].forEach((part) => part.catch(reject)));
  const handle = guideServe(await Promise.race([guideBoot(parts, report), missing]), send);
  self.onmessage = (event) => handle(event.data);
  loaded = PARTS.total;
  report("Ready");
  send({ kind: "ready" });
} catch (error) {
  send({ kind: "failed", detail: String(error && error.message ? error.message : error) });
}
