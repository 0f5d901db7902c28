/* Compiles Python to bytecode with Pyodide's own Python, under Node.
   node compile.mjs <job.json>, where the job says {mode: "library" | "calc", pyodide, ...}; see compile_job.py for the
   work.
   Node only starts Python and moves files: every decision is in compile_job.py. */
import { readFileSync, writeFileSync } from "node:fs";
import { join, dirname } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const job = JSON.parse(readFileSync(process.argv[2], "utf8"));
const { loadPyodide } = await import(pathToFileURL(join(job.pyodide, "pyodide.mjs")).href);
/* Column marks in bytecode would serve only tracebacks beside their source; they are a quarter of its compressed
   weight. */
const env = { HOME: "/home/pyodide", PYTHONNODEBUGRANGES: "1" };
const options = { indexURL: job.pyodide, packageBaseUrl: job.pyodide, env };
if (job.library) options.stdLibURL = job.library;
const py = await loadPyodide(options);

py.FS.mkdirTree("/job");
for (const [inside, outside] of Object.entries(job.files || {})) {
  const path = "/job/" + inside;
  py.FS.mkdirTree(path.slice(0, path.lastIndexOf("/")));
  py.FS.writeFile(path, new Uint8Array(readFileSync(outside)));
}
const here = dirname(fileURLToPath(import.meta.url));
py.FS.writeFile("/job/compile_job.py", readFileSync(join(here, "compile_job.py"), "utf8"));
py.globals.set("job_text", JSON.stringify(job.work));
let answer;
try {
  answer = py.runPython(`
import sys
LOADED_AT_BOOT = sorted(sys.modules)
sys.path.insert(0, "/job")
sys.dont_write_bytecode = True
import compile_job
compile_job.run(job_text, LOADED_AT_BOOT)
`);
} catch (error) {
  /* Node would print the whole of Pyodide's one-line source before the message. */
  console.error(error.message);
  process.exit(1);
}
for (const [inside, outside] of Object.entries(job.out || {})) {
  writeFileSync(outside, py.FS.readFile("/job/" + inside));
}
console.log(answer);
process.exit(0);
