"""Makes the browser engine's files from tools/build/engine/: bytecode library, calc archive, worker, front script,
folder bundle.

Each product is kept in .cache/products under the hash of what it was made from: a docs edit makes nothing anew, a
calc edit recompiles calc, and only a new import in calc makes the library anew. The browser's parts (Pyodide, the
search shim and what else engine/package.json names) come by `npm ci` into .cache/engine, with the machine's Node 18
or newer or the one of requirements-node.txt. After a change of package.json run `npm install --package-lock-only`
there; .npmrc keeps addresses of registries out of the lock.

    file in the site                  what it is
    assets/engine/engine.js           the front, `window.GuideEngine`; its head comment is the interface
    assets/engine/worker-<hash>.mjs   the module worker of served pages
    assets/engine/py-<hash>/          Pyodide's runtime as it ships, and library.zip
    assets/engine/calc-<hash>.zip     calc as bytecode, with its data files
    assets/engine/memory-<hash>.bin   the memory of a Python that has calc loaded: most starts use it, not the archives
    assets/engine/calc-source.zip     the very bytes of calc; not loaded, there to be read and checked
    assets/engine/qr-<hash>.zip       what draws QR codes, from the package segno; fetched when first asked for one
    assets/engine/recall-<hash>.zip  the model of memory, from the package fsrs; fetched when practice asks
    assets/engine/offline-bundle.js   all of it as base64 of gzip in a classic script, for pages opened from a folder
    assets/engine/offline.js          registers the service worker, `window.GuideOffline`

The kept memory: memory.mjs starts Pyodide under Node with the two archives, lets calc answer once, and keeps what its
memory then differs in from a runtime just made. The worker makes the runtime, writes the differences into it and asks
calc: a third of the time that loading takes. What is not loaded by then travels in the same file as two small
archives, and parts of calc that few pages need are loaded at first use (calc/later.py). It needs `_makeSnapshot` and
`_loadSnapshot`, private options of Pyodide: a new Pyodide may ask for changes in memory.mjs and `guideRestore`, and a
test compares the restored memory with the kept one to the byte. When anything goes wrong with it the page starts a
second worker that uses the archives; so do readers on a line that the browser calls slow, since the archives weigh
1.6 MB less.

What calc needs for one thing only, and may do without, is a part of its own (`LATER`): an answer `{"needs": "qr"}` lets
the worker fetch the part and ask the same again. Nothing of it weighs on the start.

Bytecode must come from Pyodide's own Python, so compile.mjs starts Pyodide under Node and compile_job.py compiles
there, without docstrings and column marks; asserts stay. Each .pyc carries the hash of its source (PEP 552): a test
checks these against calc-source.zip, and that archive against calc/.

The library is trimmed to the modules loaded at start, those that calc names anywhere, those that error reports load,
a short list for safety, and what all of these may import later. `NEVER` ends that chase where it would lead to
sockets, processes and tools; `OPTIONAL` leaves out modules whose importers do without them. plain_colorize.py stands
in for the library's terminal colors, which cost a tenth of the start. A test loads all of calc and every module it
names with exactly this library.

A start that fails says why: Pyodide only logs a failed WebAssembly and then waits for ever, so core.js turns the log
line into an error, a missing part ends the start at once, and the front gives up after a minute without a sign of
life. A worker that ends later is noticed by a lock that it holds, or after a minute of silence. `GuideEngine.call`
never rejects: without an answer it gives `{ok: false, engine: "failed" | "cancelled" | "error", reason, detail}`;
`retry()` asks the server again for everything.

From a folder the front loads the bundle when the engine is wanted and starts a classic worker from a Blob; if the
browser refuses it, the engine runs on the page itself. The theme's search replaces `window.Worker` there, so our copy
of its shim keeps the real one as `GuideNativeWorker`.
"""

from __future__ import annotations

import ast
import base64
import gzip
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

from tools.common import CACHE, ENGINE_SOURCE, ROOT, Step, Trouble, digest, files_below, run, write_whole

NODE_MINIMUM = 18
PACKAGES = CACHE / "engine"
PYODIDE = PACKAGES / "node_modules" / "pyodide"
SHIM = PACKAGES / "node_modules" / "iframe-worker" / "shim" / "index.js"
PRODUCTS = CACHE / "products"
CALC = ROOT / "calc"

# Not loaded by the engine: for readers who want to see what they run, and for the test that it is calc to the byte.
SOURCE_NAME = "calc-source.zip"

# The shim replaces Worker in pages opened from a folder; the engine needs the real one there.
SHIM_PREFIX = "window.GuideNativeWorker = window.Worker;\n"

# Modules that only Pyodide's Python has; calc may name them inside a function that runs in the browser.
BROWSER_ONLY = {"js", "pyodide", "pyodide_js"}
# What is fetched when first asked for, by its name for the worker: a package of requirements.txt, and what of it is
# needed. Its writers of files stay away, so its own __init__, which loads them, does too.
LATER = {
    "qr": ("segno", ("consts.py", "encoder.py")),
    "recall": ("fsrs", ("card.py", "rating.py", "review_log.py", "scheduler.py", "state.py")),
}
# Stands in for a package that such a part names and needs one line of: Python has it since 3.11.
SHIMS = {"recall": {"typing_extensions.py": "from typing import Self\n"}}
# The command line's own module: the browser never runs it, so its imports need not be carried.
NOT_IN_BROWSER = {"__main__.py", "cli.py"}
# Answered before the engine's memory is kept, so that what a first answer makes ready is ready: both unit systems.
FIRST_REQUESTS = [{"do": "quick", "calculator": "groove", "inputs": {}, "system": system} for system in ("us", "si")]


def node_version(node: str) -> int:
    """Major version of a Node program, 0 if it can't be run."""
    try:
        said = subprocess.run([node, "--version"], capture_output=True, text=True, check=False, timeout=300).stdout
    except (OSError, subprocess.TimeoutExpired):
        return 0
    found = re.match(r"v(\d+)\.", said)
    return int(found.group(1)) if found else 0


def find_node() -> tuple[str, str]:
    """Paths of node and npm: the machine's own when new enough, else from a Python package put into .venv."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node and npm and node_version(node) >= NODE_MINIMUM:
        return node, npm
    scripts = Path(sys.executable).parent
    own = [shutil.which(name, path=str(scripts)) for name in ("node", "npm")]
    if not all(own):
        with Step("Installing Node for the build"):
            run([sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--require-hashes",
                 "-r", ROOT / "tools" / "requirements-node.txt"], what="Installing Node", quiet=True)
        own = [shutil.which(name, path=str(scripts)) for name in ("node", "npm")]
    if not all(own):
        raise Trouble("Node could not be installed: install Node 18 or newer yourself and try again")
    return own[0], own[1]


def lock_digest() -> str:
    """Digest of the pinned engine packages."""
    return digest((ENGINE_SOURCE / "package-lock.json").read_bytes())


def npm_parts(source: Path, target: Path, what: str, wanted: list[Path]) -> None:
    """Fetch the packages that a folder's lock pins into `target`, unless they and the wanted files are there."""
    stamp, lock = target / "stamp", digest((source / "package-lock.json").read_bytes())
    if stamp.exists() and stamp.read_text() == lock and all(path.exists() for path in wanted):
        return
    _, npm = find_node()
    target.mkdir(parents=True, exist_ok=True)
    for name in ("package.json", "package-lock.json", ".npmrc"):
        shutil.copyfile(source / name, target / name)
    with Step(f"Fetching {what}"):
        node_folder = str(Path(npm).parent)
        run([npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"], cwd=target, quiet=True,
            what=f"Fetching {what}; the first time needs a network connection",
            PATH=node_folder + os.pathsep + os.environ.get("PATH", ""))
    stamp.write_text(lock)


def fetch_packages() -> None:
    """Fetch Pyodide and the search shim at their pinned versions, unless they are here."""
    npm_parts(ENGINE_SOURCE, PACKAGES, "the Python runtime for the browser (14 MB)", [PYODIDE, SHIM])


def node_job(script: str, job: dict, what: str) -> dict:
    """Run one of the scripts in tools/build/engine/ under Node and return its answer."""
    node, _ = find_node()
    with tempfile.TemporaryDirectory() as folder:
        job_file = Path(folder) / "job.json"
        job_file.write_text(json.dumps(job), encoding="utf-8")
        said = run([node, ENGINE_SOURCE / script, job_file], what=what, quiet=True, TZ="UTC")
    return json.loads(said.strip().splitlines()[-1])


def compile_job(work: dict, *, files: dict[str, Path], out: dict[str, Path], library: Path | None = None) -> dict:
    """Run one job of compile_job.py inside Pyodide under Node and return its answer."""
    job = {
        "pyodide": PYODIDE.as_posix() + "/",
        "library": library.as_posix() if library else None,
        "files": {inside: outside.as_posix() for inside, outside in files.items()},
        "out": {inside: outside.as_posix() for inside, outside in out.items()},
        "work": work,
    }
    return node_job("compile.mjs", job, "Compiling for the browser")


def calc_files(calc: Path = CALC) -> dict[str, Path]:
    """calc's Python files and its question data: name in the archive -> file."""
    if not (calc / "web.py").exists():
        raise Trouble(f"{calc.name}/web.py is missing: the browser engine answers through it")
    return {
        f"calc/{path.relative_to(calc).as_posix()}": path
        for path in files_below(calc)
        if path.suffix in {".py", ".toml"}
    }


def static_imports(source: bytes) -> set[str]:
    """Every module that a file names in an absolute import, wherever it stands, calc's own left out."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names.add(node.module)
    elsewhere = {"calc", *BROWSER_ONLY, *(package for package, _ in LATER.values())}
    return {name for name in names if name.split(".")[0] not in elsewhere}


def calc_imports(files: dict[str, Path]) -> list[str]:
    """The library modules that calc names, the command line's left out."""
    wanted = [path for path in files.values() if path.suffix == ".py" and path.name not in NOT_IN_BROWSER]
    found: set[str] = set()
    for path in wanted:
        try:
            found |= static_imports(path.read_bytes())
        except SyntaxError as error:
            raise Trouble(f"{path.relative_to(ROOT)}, line {error.lineno}: {error.msg}") from error
    return sorted(found)


def compiler_digest() -> str:
    """Digest of the compiler itself."""
    names = ("compile.mjs", "compile_job.py", "plain_colorize.py")
    return digest(lock_digest(), *((ENGINE_SOURCE / name).read_bytes() for name in names))


def build_library(imports: list[str]) -> Path:
    """The trimmed library for these imports."""
    key = digest("library", compiler_digest(), *imports)[:16]
    archive = PRODUCTS / f"library-{key}.zip"
    if not archive.exists():
        PRODUCTS.mkdir(parents=True, exist_ok=True)
        part = archive.with_suffix(f".{os.getpid()}")
        with Step("Compiling the Python library for the browser (about half a minute, once)"):
            compile_job({"mode": "library", "wanted": imports}, out={"library.zip": part},
                        files={"plain_colorize.py": ENGINE_SOURCE / "plain_colorize.py"})
        os.replace(part, archive)
    return archive


def build_calc(files: dict[str, Path]) -> tuple[Path, Path]:
    """The archive of calc's bytecode, which the engine loads, and the archive of the sources that it was made from."""
    key = digest(
        "calc", compiler_digest(), *(part for name, path in files.items() for part in (name, path.read_bytes()))
    )
    folder = PRODUCTS / f"calc-{key[:16]}"
    if not folder.exists():
        part = PRODUCTS / f"calc.{os.getpid()}"
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        with Step("Compiling calc for the browser"):
            compile_job({"mode": "calc", "names": list(files)},
                        out={name: part / name for name in ("calc.zip", "calc-source.zip")},
                        files={"source/" + name: path for name, path in files.items()})
        os.replace(part, folder)
    return folder / "calc.zip", folder / "calc-source.zip"


def build_later(name: str) -> Path:
    """The archive of a part that is fetched when first asked for, as bytecode."""
    package, wanted = LATER[name]
    found = importlib.util.find_spec(package)
    if found is None or found.origin is None:
        raise Trouble(f"the package {package} is missing: start the build by tools/guide.py, which installs it")
    files = {f"{package}/{each}": Path(found.origin).parent / each for each in wanted}
    bytes_of = (part for each, path in files.items() for part in (each, path.read_bytes()))
    key = digest("later", compiler_digest(), json.dumps(SHIMS.get(name)), *bytes_of)
    archive = PRODUCTS / f"{name}-{key[:16]}.zip"
    if not archive.exists():
        PRODUCTS.mkdir(parents=True, exist_ok=True)
        part = archive.with_suffix(f".{os.getpid()}")
        with Step(f"Compiling {package} for the browser"), tempfile.TemporaryDirectory() as folder:
            empty = Path(folder) / "__init__.py"
            empty.touch()
            files[f"{package}/__init__.py"] = empty
            for shim, source in SHIMS.get(name, {}).items():
                files[shim] = Path(folder) / shim
                files[shim].write_text(source, encoding="utf-8")
            compile_job({"mode": "calc", "names": list(files)}, out={"calc.zip": part},
                        files={"source/" + inside: path for inside, path in files.items()})
        os.replace(part, archive)
    return archive


def rest_of(archive: Path, loaded: set[str], target: Path) -> Path:
    """The archive without the modules that are loaded, as compile_job.py makes it: stored, sorted, one fixed time."""
    with zipfile.ZipFile(archive) as whole, zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as rest:
        for info in whole.infolist():
            name = info.filename.removesuffix(".pyc").removesuffix("/__init__").replace("/", ".")
            if not info.filename.endswith(".pyc") or name not in loaded:
                rest.writestr(info, whole.read(info))
    return target


def build_memory(library: Path, calc_zip: Path) -> tuple[Path, dict]:
    """The kept memory of a Python with calc loaded, and what memory.mjs says about it."""
    script = (ENGINE_SOURCE / "memory.mjs").read_bytes()
    key = digest(
        "memory", compiler_digest(), script, json.dumps(FIRST_REQUESTS), library.read_bytes(), calc_zip.read_bytes()
    )[:16]
    folder = PRODUCTS / f"memory-{key}"
    if not folder.exists():
        part = PRODUCTS / f"memory.{os.getpid()}"
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        job = {
            "pyodide": PYODIDE.as_posix() + "/",
            "library": library.as_posix(),
            "calc": calc_zip.as_posix(),
            "requests": FIRST_REQUESTS,
        }
        what = "Keeping the memory of a started engine"
        with Step(what):
            loaded = set(node_job("memory.mjs", job, what)["loaded"])
            job |= {"out": (part / "memory.bin").as_posix(),
                    "restLibrary": rest_of(library, loaded, part / "library.zip").as_posix(),
                    "restCalc": rest_of(calc_zip, loaded, part / "calc.zip").as_posix()}
            (part / "about.json").write_text(json.dumps(node_job("memory.mjs", job, what)))
        os.replace(part, folder)
    return folder / "memory.bin", json.loads((folder / "about.json").read_text())


def fill(template: str, **values: object) -> str:
    """Put text into the places that a template marks with /*NAME*/; `null` after the mark is a stand-in."""
    text = (ENGINE_SOURCE / template).read_text(encoding="utf-8")
    for name, value in values.items():
        mark = f"/*{name}*/"
        if mark not in text:
            raise Trouble(f"{template} has no place for {name}")
        text = text.replace(mark + " null", mark) if mark + " null" in text else text
        text = text.replace(mark, value if isinstance(value, str) else json.dumps(value, sort_keys=True))
    return text


def bundle_text(parts: dict[str, Path], core: str) -> str:
    """The classic script that carries the whole engine as base64 of gzip, for pages opened from a folder."""
    code = fill("offline-worker.js", CORE=core)
    packed = {name: base64.b64encode(gzip.compress(path.read_bytes(), 9, mtime=0)).decode()
              for name, path in parts.items()}
    sizes = {name: path.stat().st_size for name, path in parts.items() if name not in LATER}
    return (f"(function () {{\n{code}\nwindow.GuideBundle = {{\nbootOnPage: guideBootOffline,\n"
            f"worker: {json.dumps(code)},\nsizes: {json.dumps(sizes)},\nparts: {json.dumps(packed)}\n}};\n}})();\n")


def product(name: str, text: str) -> Path:
    """Keep a made text in the cache under its own hash."""
    data = text.encode()
    path = PRODUCTS / digest(data)[:16] / name
    if not path.exists():
        write_whole(path, data)
    return path


def build(calc: Path = CALC, shop: Mapping[str, Path] | None = None) -> dict[str, Path]:
    """Make every file of the engine: path in the site -> file on disk. `shop` adds files of a shop to calc's."""
    fetch_packages()
    sources = calc_files(calc) | dict(shop or {})
    library = build_library(calc_imports(sources))
    calc_zip, calc_source = build_calc(sources)
    wasm, asm, loader = (PYODIDE / name for name in ("pyodide.asm.wasm", "pyodide.asm.mjs", "pyodide.mjs"))
    memory, about = build_memory(library, calc_zip)
    lock = json.loads((PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))
    core = fill("core.js", LOCK={"info": lock["info"], "packages": {}})

    folder = "py-" + digest(*(path.read_bytes() for path in (wasm, asm, loader, library)))[:12]
    calc_name = f"calc-{digest(calc_zip.read_bytes())[:12]}.zip"
    memory_name = f"memory-{digest(memory.read_bytes())[:12]}.bin"
    later = {name: build_later(name) for name in LATER}
    later_names = {name: f"{name}-{digest(path.read_bytes())[:12]}.zip" for name, path in later.items()}
    sizes = {
        "wasm": wasm.stat().st_size,
        "library": library.stat().st_size,
        "calc": calc_zip.stat().st_size,
        "memory": memory.stat().st_size,
    }
    worker = fill("worker.template.mjs", CORE=core,
                  PARTS={"folder": folder, "calc": calc_name, "memory": memory_name, "kept": about, "sizes": sizes,
                         "later": later_names})
    worker_name = f"worker-{digest(worker)[:12]}.mjs"

    parts = {"wasm": wasm, "asm": asm, "loader": loader, "library": library, "calc": calc_zip, **later}
    bundle_key = digest(core, *(path.read_bytes() for path in parts.values()),
                        (ENGINE_SOURCE / "offline-worker.js").read_bytes())[:16]
    bundle = PRODUCTS / f"offline-bundle-{bundle_key}.js"
    if not bundle.exists():
        write_whole(bundle, bundle_text(parts, core).encode())
    front = fill(
        "engine.template.js",
        PARTS={"worker": worker_name, "bundle": "offline-bundle.js", "total": sizes["wasm"] + sizes["memory"]},
    )

    at = "assets/engine/"
    return {
        at + "engine.js": product("engine.js", front),
        at + "offline.js": ENGINE_SOURCE / "offline.js",
        at + "offline-bundle.js": bundle,
        at + worker_name: product(worker_name, worker),
        at + calc_name: calc_zip,
        at + memory_name: memory,
        **{at + later_names[name]: path for name, path in later.items()},
        at + SOURCE_NAME: calc_source,
        at + folder + "/pyodide.asm.wasm": wasm,
        at + folder + "/pyodide.asm.mjs": asm,
        at + folder + "/pyodide.mjs": loader,
        at + folder + "/library.zip": library,
        "assets/javascripts/iframe-worker.js": product(
            "iframe-worker.js", SHIM_PREFIX + SHIM.read_text(encoding="utf-8")
        ),
    }
