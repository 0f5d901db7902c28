/* Keeps the memory of a Python that has calc loaded, so that a browser need not load it again.
   node memory.mjs <job.json>, where the job says {pyodide, library, calc, requests} and, to keep it,
   {restLibrary, restCalc, out}.
   It says of it: how many bytes the memory has and the head, how far the runtime's own data fill it, how far a runtime
   that comes to stand may write, and the SHA-256 of the whole. Without {out, ...} it only tells which modules are
   loaded then; what the archives hold beyond those is the rest.

   The file that it writes, all numbers 32-bit little-endian:
     five lengths: Pyodide's own head in bytes, the runs by number, the bytes of all runs, the two archives in bytes
     the runs: where each begins in the memory, how long it is
     the head: what Pyodide needs to know of the objects it shares with JavaScript
     the bytes of all runs, one after another: where this memory differs from that of a runtime to which nothing was
     written
     the rest of the library's archive and of calc's: what is not loaded yet, and calc's data files
   The same input gives the same bytes: clock, chance and hash seed are fixed. */
import crypto from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const job = JSON.parse(readFileSync(process.argv[2], "utf8"));
process.argv[1] = "guide"; /* it would stand in the memory as the name of the program */
Date.now = () => 0;
performance.now = () => 0;
crypto.randomFillSync = (bytes) => bytes.fill(0); /* calc draws from generators of its own, seeded by the page */

/* Python calls some functions by way of a small module, where the machine takes it and is no telephone; its place among
   the functions would stand in the memory, and be another's where a browser does not take it. So here is a
   telephone. */
Object.defineProperty(globalThis, "navigator", { value: { userAgent: "iPhone" } });

const load = (name) => import(pathToFileURL(join(job.pyodide, name)).href);
const { loadPyodide } = await load("pyodide.mjs");
const factory = (await load("pyodide.asm.mjs")).default;
const lock = JSON.parse(readFileSync(join(job.pyodide, "pyodide-lock.json"), "utf8"));
const common = {
  indexURL: job.pyodide, packageBaseUrl: job.pyodide, stdLibURL: job.library,
  lockFileContents: { info: lock.info, packages: {} },
  env: { HOME: "/home/pyodide", LANG: "C.UTF-8", PYTHONHASHSEED: "0" },
};

const LOAD = `
import sys
sys.path.insert(0, "/guide/calc.zip")
def load(text):
    import json
    from calc.web import respond
    for request in json.loads(text):
        answer = json.loads(respond(json.dumps(request)))
        if "trouble" in answer:
            raise RuntimeError(answer["trouble"])
load(requests)
" ".join(sorted(sys.modules))
`;
const SETTLE = `
def settle():
    import gc, linecache, os, re, sys
    loaders = {id(each): each for module in list(sys.modules.values())
               if hasattr(each := getattr(module, "__loader__", None), "archive")}
    # From here on the archives hold the rest alone: every loader reads its list of contents again.
    for rest, archive in (("/guide/library", library), ("/guide/calc", "/guide/calc.zip")):
        os.replace(rest, archive)
    for loader in [*loaders.values(), *(each for each in sys.path_importer_cache.values() if hasattr(each, "archive"))]:
        loader.invalidate_caches()
    linecache.clearcache()
    re.purge()
    sys._clear_internal_caches()
settle()
del settle, load, requests, library
import gc
gc.collect()
None
`;

async function started(options) {
  const py = await loadPyodide({ ...common, ...options });
  py.FS.mkdirTree("/guide");
  py.FS.writeFile("/guide/calc.zip", new Uint8Array(readFileSync(job.calc)));
  py.globals.set("requests", JSON.stringify(job.requests));
  return [py, py.runPython(LOAD).split(" ")];
}

async function settled() {
  const [py] = await started({ _makeSnapshot: true });
  py.FS.writeFile("/guide/library", new Uint8Array(readFileSync(job.restLibrary)));
  py.FS.writeFile("/guide/calc", new Uint8Array(readFileSync(job.restCalc)));
  const isLibrary = "path.startswith('/lib/python') and path.endswith('.zip')";
  py.globals.set("library", py.runPython(`next(path for path in sys.path if ${isLibrary})`));
  py.runPython(SETTLE);
  wipeFreeMemory(py._module);
  const whole = py.makeMemorySnapshot();
  const [, start] = new Uint32Array(whole.buffer, 0, 2);
  return { head: whole.subarray(0, start), memory: whole.subarray(start) };
}

/* What was given back keeps its old bytes: they weigh, and no one may need to know what they were. */
function wipeFreeMemory(runtime) {
  const top = runtime._sbrk(0);
  const held = [];
  for (let size = 1 << 20; size >= 8; size = size > 256 ? Math.floor(size * 0.8) : size - 8) {
    for (;;) {
      const at = runtime._malloc(size);
      if (at + size > top) {
        runtime._free(at);
        break;
      }
      runtime.HEAPU8.fill(0, at, at + size);
      held.push(at);
    }
  }
  held.forEach((at) => runtime._free(at));
}

/* A memory before the runtime writes to it, and the same once it stands with nothing loaded. */
async function fresh() {
  let pure = null;
  let standing = null;
  const instantiate = WebAssembly.instantiate;
  WebAssembly.instantiate = async (code, imports) => {
    const made = await instantiate(code, imports);
    pure = new Uint8Array(made.instance.exports.memory.buffer).slice();
    return made;
  };
  const create = async (settings) => {
    settings.noInitialRun = true;
    const runtime = await factory(settings);
    standing = runtime.HEAPU8.slice();
    throw new Error("enough");
  };
  await loadPyodide({ ...common, createPyodideModule: create }).catch((error) => {
    if (!standing) throw error;
  });
  return { pure, standing };
}

const endOf = (bytes) => {
  let end = bytes.length;
  while (end && !bytes[end - 1]) end--;
  return end;
};

/* What a runtime writes while it comes to stand depends on the browser, its language say: room for more of it. */
const MORE = 1 << 16;

/* Where the two differ, joined where less than this many equal bytes lie between: a run costs eight bytes of its
   own. */
const NEAR = 48;

function differences(memory, base) {
  const runs = [];
  let start = -1;
  let last = -1;
  for (let at = 0; at < memory.length; at++) {
    if (memory[at] === base[at]) continue;
    if (start < 0) {
      start = at;
    } else if (at - last > NEAR) {
      runs.push(start, last + 1 - start);
      start = at;
    }
    last = at;
  }
  if (start >= 0) runs.push(start, last + 1 - start);
  return runs;
}

async function keep() {
  const { head, memory } = await settled();
  const { pure, standing } = await fresh();
  if (pure.length !== memory.length) {
    throw new Error(`calc has outgrown the memory that a runtime starts with (${pure.length} bytes)`);
  }
  const runs = differences(memory, pure);
  const bytes = [];
  for (let n = 0; n < runs.length; n += 2) bytes.push(memory.subarray(runs[n], runs[n] + runs[n + 1]));
  const rest = [readFileSync(job.restLibrary), readFileSync(job.restCalc)];
  const length = (parts) => parts.reduce((sum, part) => sum + part.length, 0);
  const lengths = Uint32Array.of(head.length, runs.length / 2, length(bytes), ...rest.map((part) => part.length));
  const numbers = [lengths, Uint32Array.from(runs)].map((each) => Buffer.from(each.buffer));
  writeFileSync(job.out, Buffer.concat([...numbers, head, ...bytes, ...rest]));
  return {
    memory: memory.length, head: head.length, filled: endOf(pure), touched: endOf(standing) + MORE,
    sha256: crypto.createHash("sha256").update(memory).digest("hex"),
  };
}

try {
  console.log(JSON.stringify(job.out ? await keep() : { loaded: (await started({}))[1] }));
} catch (error) {
  console.error(error.message);
  process.exit(1);
}
process.exit(0);
