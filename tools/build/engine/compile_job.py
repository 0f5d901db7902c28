"""Runs inside Pyodide under Node, started by compile.mjs: makes the library archive and the calc archive.

Bytecode belongs to one exact Python, so it has to come from the very Python that will load it.
"""

from __future__ import annotations

import ast
import dis
import importlib
import importlib.util
import json
import sys
import types
import zipfile

STOCK_ZIP = "/lib/python{0}{1}.zip".format(*sys.version_info[:2])
# One fixed time in every archive: the same input gives the same bytes.
FIXED_TIME = (1980, 1, 1, 0, 0, 0)
UNCHECKED_HASH = (0b01).to_bytes(4, "little")

# What Python needs to report an error well, and common helpers that code may load in ways no reading of it shows.
# Whatever calc imports by name is added to these.
SAFETY = (
    "_colorize", "ast", "bisect", "codecs", "collections.abc", "contextlib", "copy", "dataclasses", "datetime",
    "decimal", "encodings.ascii", "encodings.latin_1", "encodings.utf_8", "enum", "fractions", "functools", "heapq",
    "inspect", "io", "itertools", "json", "linecache", "math", "numbers", "operator", "pkgutil", "re", "reprlib",
    "string", "struct", "textwrap", "tokenize", "traceback", "types", "typing", "unicodedata", "warnings", "weakref",
)

# Reached only by lazy imports of the library for work that a calculator never does: processes, sockets, tools.
NEVER = (
    "tkinter", "turtle", "idlelib", "unittest", "test", "pdb", "bdb", "cmd", "doctest", "pydoc", "distutils",
    "ensurepip", "venv", "multiprocessing", "subprocess", "concurrent", "socket", "socketserver", "ssl", "select",
    "selectors", "http", "ftplib", "smtplib", "email", "xml", "xmlrpc", "wsgiref", "ctypes", "sqlite3", "dbm",
    "logging", "lzma", "bz2", "compression", "tarfile", "shutil", "tempfile", "webbrowser", "optparse", "getopt",
    "site", "sysconfig", "_pyrepl", "readline", "rlcompleter", "code", "curses", "pty", "tty", "lib2to3", "profile",
    "cProfile", "pstats", "trace", "tracemalloc", "urllib.request", "urllib.error", "urllib.response", "mimetypes",
    "netrc", "getpass", "pathlib", "glob", "fnmatch", "plistlib", "zipapp", "runpy", "timeit", "pickletools",
    "asyncio.__main__", "json.tool", "json.__main__", "importlib.resources", "importlib.metadata", "zoneinfo",
    "_pydecimal", "_pydatetime", "_pyio", "_strptime", "_pylong", "argparse", "gettext", "py_compile", "compileall",
    "symtable", "tabnanny", "queue", "sched", "annotationlib.__main__", "pyodide.console", "pyodide.http",
    "pyodide_js", "pyodide._package_loader", "stringprep", "filecmp", "difflib", "ipaddress", "imaplib", "poplib",
    "mailbox", "wave", "colorsys", "cgi", "nturl2path", "ntpath", "antigravity", "this", "__phello__", "pickle",
    "_compat_pickle", "ipaddress", "platform", "_ast_unparse",
)

# Loaded at every start only because they are there: each of their importers goes on without them (ImportError is
# caught), and no page opens a secure socket or a compressed archive of these kinds.
OPTIONAL = ("ssl", "_ssl", "bz2", "lzma", "compression")


def below(name: str, roots: tuple[str, ...]) -> bool:
    """Say whether a module is one of the roots or inside one."""
    return any(name == root or name.startswith(root + ".") for root in roots)


def code_objects(code: types.CodeType):
    """Yield a code object and all those inside it."""
    yield code
    for constant in code.co_consts:
        if isinstance(constant, types.CodeType):
            yield from code_objects(constant)


def lazy_imports(code: types.CodeType) -> set[str]:
    """Names of all absolute imports anywhere in the code, function bodies included."""
    found: set[str] = set()
    for part in code_objects(code):
        found.update(op.argval for op in dis.get_instructions(part) if op.opname == "IMPORT_NAME" and op.argval)
    return found


def stock_files() -> dict[str, bytes]:
    """The shipped library: path in the archive -> bytes."""
    with zipfile.ZipFile(STOCK_ZIP) as archive:
        return {info.filename: archive.read(info) for info in archive.infolist() if not info.is_dir()}


def module_paths(files: dict[str, bytes]) -> dict[str, str]:
    """Dotted module name -> path in the archive."""
    names = {}
    for path in files:
        if path.endswith(".py"):
            names[path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")] = path
    return names


def with_parents(name: str) -> list[str]:
    """'a.b.c' -> ['a', 'a.b', 'a.b.c']: a module loads only below its packages."""
    parts = name.split(".")
    return [".".join(parts[: n + 1]) for n in range(len(parts))]


def touch_error_paths() -> None:
    """Do what calc's error paths do, so that the modules which they load at that moment are seen."""
    import traceback

    for fault in (
        lambda: 1 / 0,
        lambda: json.loads("{"),
        lambda: {}["thickness"],
        lambda: float("x"),
        lambda: thicknes,
    ):
        try:
            fault()
        except Exception:
            traceback.format_exc()
    "3/8 in".encode("ascii").decode("utf-8", "replace")


def needed_modules(wanted: list[str], at_boot: list[str], paths: dict[str, str], files: dict[str, bytes]) -> list[str]:
    """The library modules to keep: loaded at boot, wanted by name, loaded by errors, and what these may load later."""
    wanted = [*wanted, *SAFETY]
    for name in wanted:
        importlib.import_module(name)
    touch_error_paths()
    own = {"compile_job", "zipfile", "dis", "opcode", "_opcode_metadata"} - set(wanted)
    dropped = tuple(name for name in OPTIONAL if name not in wanted)
    keep = {name for name in [*at_boot, *sys.modules] if name in paths and name not in own and not below(name, dropped)}
    todo = sorted(keep)
    while todo:
        path = paths[todo.pop()]
        for name in lazy_imports(compile(files[path], path, "exec", dont_inherit=True)):
            for part in with_parents(name):
                if part in paths and part not in keep and not below(part, NEVER):
                    keep.add(part)
                    todo.append(part)
    return sorted(keep)


def without_docstrings(source: bytes, filename: str) -> ast.Module:
    """The parsed source with docstrings taken out and all else, asserts and line numbers too, as it was.

    A class keeps a docstring of one dot: for a class without any, `dataclass` writes one from the signature, a fifth of
    the time that it takes.
    """
    tree = ast.parse(source, filename)
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)):
            if ast.get_docstring(node, clean=False) is not None:
                first = node.body[0]
                if isinstance(node, ast.ClassDef):
                    first.value = ast.copy_location(ast.Constant("."), first.value)
                else:
                    node.body = node.body[1:] or [ast.copy_location(ast.Pass(), first)]
    return tree


def without_lines(code: types.CodeType) -> types.CodeType:
    """The same code, every instruction on the first line of its function: no page shows a traceback, and the table
    of lines weighs.
    """
    parts = tuple(without_lines(each) if isinstance(each, types.CodeType) else each for each in code.co_consts)
    whole, rest = divmod(len(code.co_code) // 2, 8)
    # An entry stands for one to eight instructions: its kind (a line without columns), their count less one, the step of the line.
    table = b"\xef\x00" * whole + (bytes([0xE8 | (rest - 1), 0]) if rest else b"")
    return code.replace(co_linetable=table, co_consts=parts)


def bytecode(source: bytes, filename: str) -> bytes:
    """A .pyc that Python loads without looking at its source (unchecked hash). No page shows a docstring."""
    import marshal

    code = without_lines(compile(without_docstrings(source, filename), filename, "exec", dont_inherit=True))
    head = importlib.util.MAGIC_NUMBER + UNCHECKED_HASH + importlib.util.source_hash(source)
    return head + marshal.dumps(code)


def write_zip(path: str, members: dict[str, bytes]) -> None:
    """A stored archive with sorted names and one fixed time. The server's compression restores the size."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(members):
            info = zipfile.ZipInfo(name, FIXED_TIME)
            info.create_system = 3
            info.external_attr = 0o644 << 16
            archive.writestr(info, members[name])


def make_library(wanted: list[str], at_boot: list[str]) -> dict:
    """Write /job/library.zip: bytecode only."""
    files = stock_files()
    paths = module_paths(files)
    with open("/job/plain_colorize.py", "rb") as file:
        files["_colorize.py"] = file.read()
    keep = needed_modules(wanted, at_boot, paths, files)
    members = {paths[name] + "c": bytecode(files[paths[name]], f"{STOCK_ZIP}/{paths[name]}") for name in keep}
    write_zip("/job/library.zip", members)
    return {"modules": keep, "stock": len(paths)}


def make_calc(names: list[str]) -> dict:
    """Write /job/calc.zip, what runs, and /job/calc-source.zip, the very bytes that it was made from.

    Each .pyc carries the hash of its source, so anyone can tell that the two belong together.
    """
    sources, compiled = {}, {}
    for name in names:
        with open("/job/source/" + name, "rb") as file:
            sources[name] = file.read()
        if name.endswith(".py"):
            compiled[name + "c"] = bytecode(sources[name], "/guide/calc.zip/" + name)
        else:
            compiled[name] = sources[name]  # data that calc reads through its own package
    write_zip("/job/calc.zip", compiled)
    write_zip("/job/calc-source.zip", sources)
    return {"files": len(names)}


def try_calc(names: list[str], imports: list[str], request: str | None) -> dict:
    """Load every calc module and every module that calc names, with the library at hand; say what is missing."""
    import traceback

    sys.path.insert(0, "/job/calc.zip")
    faults = {}
    for name in [*names, *imports]:
        try:
            importlib.import_module(name)
        except BaseException:  # noqa: BLE001 - whatever it is, the report names it
            faults[name] = traceback.format_exc()
    answer = None
    if request is not None:
        answer = importlib.import_module("calc.web").respond(request)
    try:
        touch_error_paths()
    except BaseException:  # noqa: BLE001
        faults["error paths"] = traceback.format_exc()
    return {"faults": faults, "answer": answer}


def run(job_text: str, at_boot: list[str]) -> str:
    """Do one job and answer in JSON."""
    job = json.loads(job_text)
    if job["mode"] == "library":
        answer = make_library(job["wanted"], at_boot)
    elif job["mode"] == "calc":
        answer = make_calc(job["names"])
    else:
        answer = try_calc(job["names"], job["imports"], job.get("request"))
    return json.dumps(answer)
