"""Measures the guide on this machine in one run: start, typing, drawing, planning, weights, build time.

The start is compared with Pyodide as it ships, doing the same work from calc's sources, in the same browser, from the
same server, in turns, each time with a new browser profile. Times differ between machines: the ratio tells.
`--short` takes fewer rounds, `--heights` only measures how tall pages and forms are, and writes it down. Times on a
busy machine mean little: run it alone.
"""

from __future__ import annotations

import contextlib
import json
import random
import shutil
import statistics
import tempfile
import time
import zipfile
from collections.abc import Iterator, Sequence
from itertools import dropwhile, takewhile
from pathlib import Path

from playwright.sync_api import Browser, Error, Page, sync_playwright

from calc.record.demo import DEMOS
from calc.record.shape import as_data
from tools import guide
from tools.build import engine_build, packer, site_build
from tools.check import browser
from tools.common import ROOT, SITE, Trouble, main_guard, say
from tools.serve import server

STOCK_WORKER = """
import { loadPyodide } from "./pyodide.mjs";
const py = await loadPyodide({ indexURL: new URL("./", import.meta.url).href });
const calc = await (await fetch(new URL("calc-source.zip", import.meta.url))).arrayBuffer();
py.unpackArchive(calc, "zip", { extractDir: "/guide" });
py.runPython("import sys; sys.path.insert(0, '/guide')");
const web = py.pyimport("calc.web");
self.onmessage = (event) => self.postMessage(web.respond(event.data));
self.postMessage("ready");
"""
STOCK_PAGE = """
<!doctype html><title>stock</title><script src="stock.js"></script>
"""
# The served policy asks for Trusted Types; these two bare pages have addresses of their own making alone.
ADDRESSES = """
if (window.trustedTypes) trustedTypes.createPolicy("default", { createScriptURL: (address) => address });
"""
STOCK_SCRIPT = ADDRESSES + """
window.measure = (text) => new Promise((resolve, reject) => {
  const start = performance.now();
  const worker = new Worker("worker.mjs", { type: "module" });
  worker.onerror = (event) => reject(new Error(event.message || "worker failed"));
  worker.onmessage = (event) => {
    if (event.data === "ready") worker.postMessage(text);
    else resolve([performance.now() - start, JSON.parse(event.data)]);
  };
});
"""
MEASURE = """async (text) => {
  const start = performance.now();
  const answer = await GuideEngine.call(JSON.parse(text));
  return [performance.now() - start, answer];
}"""
OWN_SCRIPT = f"{ADDRESSES}\nwindow.measure = {MEASURE};\n"
# Changes a field as a reader does and waits for the answer: [put in place, its frame painted]. Runs in the page, so
# that no message between programs is counted. Every value is a new one.
CHANGING = """
async ([place, name, slide, warm, values]) => {
  const section = document.getElementById(place);
  const region = section.querySelector("[data-headline]");
  const text = section.querySelector(`[data-field="${name}"] input`);
  const control = slide ? text.slider.range : text;
  const once = (value) => new Promise((resolve, reject) => {
    const limit = setTimeout(() => reject(new Error(`no new answer for ${value}: ${region.textContent}`)), 60000);
    const watch = new MutationObserver(() => {
      const placed = performance.now() - start;
      watch.disconnect();
      clearTimeout(limit);
      /* The frame that shows the change has been handed over when the next task runs after its callback. */
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => resolve([placed, performance.now() - start]);
        channel.port2.postMessage(0);
      });
    });
    watch.observe(region, { childList: true, characterData: true, subtree: true });
    control.value = value;
    const start = performance.now();
    control.dispatchEvent(new InputEvent("input", { bubbles: true, inputType: "insertText", data: value.slice(-1) }));
  });
  const times = [];
  for (const value of values) {
    times.push(await once(value));
    /* Longer than the whole answer waits, and never in step with the screen. */
    await new Promise((resolve) => setTimeout(resolve, 400 + 7 * (times.length % 13)));
  }
  return times.slice(warm);
}
"""
# A bare page that echoes what is typed: at once, and as late as the engine answers. No theme, no calculator.
BARE_PAGE = """
<!doctype html><title>bare</title><section id="bare"><div data-field="echo"><input></div><p data-headline></p></section>
<script src="bare.js"></script>
"""
BARE_SCRIPT = """
const line = document.querySelector("[data-headline]");
const worker = new Worker("late.js");
worker.onmessage = ({ data }) => { line.textContent = data; };
window.later = 0;
document.querySelector("input").addEventListener("input", ({ target }) => {
  if (later) worker.postMessage([target.value, later]);
  else line.textContent = target.value;
});
"""
LATE_SCRIPT = """
onmessage = ({ data: [text, late] }) => {
  const start = performance.now();
  while (performance.now() - start < late) { /* as busy as the engine */ }
  postMessage(text);
};
"""
# The same echo in a page of the guide.
ADD_ECHO = """() => {
  const made = document.createElement("section");
  made.id = "bare";
  made.innerHTML = guideHTML('<div data-field="echo"><input></div><p data-headline></p>');
  document.querySelector(".md-content h1").after(made);
  const line = made.querySelector("[data-headline]");
  made.querySelector("input").addEventListener("input", ({ target }) => { line.textContent = target.value; });
}"""
TYPED = [f"{n}/64" for n in range(12, 120)]
WARM = 5
CALCULATOR_PAGE = "groove.html"

TARGETS = {
    "cold ratio": 0.25, "warm ratio": 0.15, "build s": 30.0, "times the bare page": 4.0, "heat ms": 150.0, "plan s": 1.0,
    "class s": 5.0, "readable ms": 1000.0, "better plan s": 10.0, "page KB": 350.0, "engine MB": 4.5,
}


@contextlib.contextmanager
def new_browser(executable: str) -> Iterator[Browser]:
    """A browser with a new profile."""
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=executable, args=browser.arguments())
        try:
            yield opened
        finally:
            opened.close()


def lay_out(folder: Path, site: Path) -> None:
    """A folder with our engine beside Pyodide as shipped, each behind an empty page."""
    shutil.copytree(site / "assets" / "engine", folder / "assets" / "engine")
    (folder / "own.html").write_text(
        '<!doctype html><title>own</title><script src="assets/engine/engine.js"></script><script src="own.js"></script>'
    )
    (folder / "own.js").write_text(OWN_SCRIPT)
    stock = folder / "stock"
    stock.mkdir()
    for name in ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json"):
        shutil.copyfile(engine_build.PYODIDE / name, stock / name)
    with zipfile.ZipFile(stock / "calc-source.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for name, path in engine_build.calc_files().items():
            archive.write(path, name)
    (stock / "worker.mjs").write_text(STOCK_WORKER)
    (stock / "stock.js").write_text(STOCK_SCRIPT)
    (stock / "stock.html").write_text(STOCK_PAGE)
    site_build.precompress(folder)


def request_text() -> str:
    """A real request: the groove calculator with its defaults."""
    return json.dumps({"do": "answer", "calculator": "groove", "inputs": {}})


def measure_start(executable: str, address: str, text: str) -> tuple[float, float, dict]:
    """A start with an empty browser and one more with what it kept: (ms cold, ms warm, answer)."""
    times = []
    with new_browser(executable) as opened:
        page = opened.new_page()
        for _ in range(2):
            page.goto(address)
            page.wait_for_timeout(300)  # the empty page's own work is over
            try:
                took, answer = page.evaluate("(text) => measure(text)", text)
            except Error as error:
                raise Trouble(f"no answer from {address}: {error.message[:400]}") from error
            times.append(took)
    return times[0], times[1], answer


def measure_kept_start(executable: str, address: str, text: str) -> tuple[float, dict]:
    """A start on a page of the guide that the browser has kept for use without a network: (ms, answer)."""
    with new_browser(executable) as opened:
        page = opened.new_page()
        for _ in range(2):
            page.goto(address + "404.html")  # no calculator stands there, so none starts before it is asked
            page.wait_for_function(
                "() => GuideOffline.state === 'ready' && GuideEngine.state === 'idle'", timeout=120_000
            )
            page.wait_for_timeout(1000)
        return tuple(page.evaluate(MEASURE, text))


def bench_start(executable: str, rounds: int) -> None:
    """Print the starts of both engines, cold and warm, and the ratios of medians.

    And the start of a guide that is kept.
    """
    own, stock, kept, answers = [], [], [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lay_out(folder, SITE)
        with server.Running(folder) as running, server.Running(SITE) as whole:
            for _ in range(rounds):
                for page, times in (("own.html", own), ("stock/stock.html", stock)):
                    *took, answer = measure_start(executable, running.url + page, request_text())
                    times.append(took)
                    answers.append(answer)
                took, answer = measure_kept_start(executable, whole.url, request_text())
                kept.append(took)
                answers.append(answer)
    if any(answer != answers[0] for answer in answers) or answers[0].get("engine"):
        raise Trouble(f"the two engines did not give one answer: {str(answers[0])[:300]}")
    for place, kind in enumerate(("cold", "warm")):
        columns = {
            words: [each[place] for each in times]
            for words, times in (("this guide", own), ("Pyodide as shipped", stock))
        }
        for words, column in columns.items():
            say(
                f"  {kind} start to first live answer, {words}: min {min(column):.0f}, median "
                f"{statistics.median(column):.0f}, "
                f"max {max(column):.0f} ms, n={len(column)}"
            )
        ratio = statistics.median(columns["this guide"]) / statistics.median(columns["Pyodide as shipped"])
        say(f"  ratio of medians, {kind}: {ratio:.2f}{verdict(ratio, TARGETS[f'{kind} ratio'])}")
    ratio = statistics.median(kept) / statistics.median(took[1] for took in stock)
    say(
        f"  warm start of the guide once it is kept for use without a network: min {min(kept):.0f}, median "
        f"{statistics.median(kept):.0f}, "
        f"max {max(kept):.0f} ms, n={len(kept)}"
    )
    say(f"  ratio of medians to Pyodide as shipped, warm: {ratio:.2f}{verdict(ratio, TARGETS['warm ratio'])}")


def verdict(value: float, target: float) -> str:
    """How a figure stands to its target."""
    return f"  (target at most {target:g}: {'met' if value <= target else 'MISSED'})"


def percentile(values: Sequence[float], share: float) -> float:
    """The value that `share` of the values don't exceed (nearest rank)."""
    ordered = sorted(values)
    return ordered[max(0, -(-int(len(ordered) * share * 1000) // 1000) - 1)]


@contextlib.contextmanager
def ready_page(executable: str, path: str) -> Iterator[Page]:
    """A served page of the guide with its engine up and the guide kept."""
    with server.Running(SITE) as running, new_browser(executable) as opened:
        page = opened.new_page()
        page.goto(running.url + path)
        # A function, not an expression: the policy forbids evaluating text.
        page.wait_for_function("() => ['ready', 'failed'].includes(GuideOffline.state)", timeout=120_000)
        page.evaluate("GuideEngine.start()")
        page.wait_for_function("() => GuideEngine.state === 'ready'")
        page.wait_for_timeout(1500)
        yield page


def bench_changes(executable: str, rounds: int) -> None:
    """Print keystroke to painted answer and slider to painted drawing, on a served page with the whole theme, against
    the floor of the machine: a bare page in the same browser that echoes what is typed.

    A screen shows the key itself in its next picture, and the answer in the one after that: at 60 Hz up to 17 ms
    later, however early it is in place. The bare page that answers as late as the engine shows that floor.
    """
    texts = TYPED[:rounds + WARM]
    with (
        tempfile.TemporaryDirectory() as name, ready_page(executable, CALCULATOR_PAGE) as page,
        server.Running(Path(name)) as running,
    ):
        for file, text in (("bare.html", BARE_PAGE), ("bare.js", ADDRESSES + BARE_SCRIPT), ("late.js", LATE_SCRIPT)):
            (Path(name) / file).write_text(text)
        bare_page = page.context.browser.new_page()
        bare_page.goto(running.url + "bare.html")
        page.bring_to_front()
        slid = page.evaluate(
            CHANGING, ["groove", "thickness", True, WARM, [str(n) for n in range(3, 3 + WARM + rounds // 2)]]
        )
        typed = page.evaluate(CHANGING, ["groove", "thickness", False, WARM, texts])
        page.evaluate(ADD_ECHO)
        trivial = page.evaluate(CHANGING, ["bare", "echo", False, WARM, texts])
        bare_page.bring_to_front()
        bare = bare_page.evaluate(CHANGING, ["bare", "echo", False, WARM, texts])
        bare_page.evaluate("(ms) => { later = ms; }", statistics.median(each[0] for each in typed))
        late = bare_page.evaluate(CHANGING, ["bare", "echo", False, WARM, texts])
    floor, late_floor = (percentile([each[1] for each in times], 0.95) for times in (bare, late))
    for what, times in (
        ("bare page, echo", bare), ("bare page, echo as late as the engine answers", late),
        ("echo in the page of the groove", trivial), ("groove, keystroke", typed), ("groove, slider", slid),
    ):
        placed, painted = zip(*times)
        p95 = percentile(painted, 0.95)
        own = what.startswith("groove")
        say(
            f"  {what}: in place median {statistics.median(placed):.1f}, p95 {percentile(placed, 0.95):.1f}, painted "
            f"median {statistics.median(painted):.1f}, p95 {p95:.1f}, max {max(painted):.1f} ms, n={len(times)}, "
            f"p95 {p95 / floor:.1f} times the bare echo's, {p95 / late_floor:.1f} times the late one's"
            f"{verdict(p95 / floor, TARGETS['times the bare page']) if own else ''}"
        )


# From a change in the form to the frame that shows the new plot. The field has the focus for a while, as before any
# change.
PLOTTED = """
async ([place, name, value]) => {
  const section = document.getElementById(place);
  const text = section.querySelector(`[data-field="${name}"] input`);
  text.focus();
  await new Promise((resolve) => setTimeout(resolve, 1000));
  const old = section.querySelector("svg.plot");
  text.value = value;
  const start = performance.now();
  text.dispatchEvent(new InputEvent("input", { bubbles: true, inputType: "insertText", data: value.slice(-1) }));
  while (section.querySelector("svg.plot") === old) {
    if (performance.now() - start > 60000) throw new Error("no new plot");
    await new Promise((resolve) => setTimeout(resolve));
  }
  await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
  return performance.now() - start;
}
"""


def bench_heat(executable: str, rounds: int) -> None:
    """Print how long the heat map takes to be first drawn: each round in a new page, with numbers not asked before."""
    times = []
    for number in range(rounds):
        with ready_page(executable, "heat-flow.html") as page:
            times.append(page.evaluate(PLOTTED, ["plate-heat", "amps", f"{111 + number} A"]))
    median = statistics.median(times)
    say(
        f"  heat map first drawn: median {median:.0f}, max {max(times):.0f} ms, "
        f"n={len(times)}{verdict(median, TARGETS['heat ms'])}"
    )


# A list of 60 kinds whose first plan is not the best: lengths of 20 to 35 % of a bar, as in class 3 of Scholl,
# Klein and Jürgens 1997.
CHANCE = random.Random("bench")
PLAN = {
    "pieces": "\n".join(f"{CHANCE.randint(2000, 3500) / 10:g} in | 1 |" for _ in range(60)),
    "stock": "1000 in | | | bar",
    "kerf": "0 in",
    "trim": "0 in",
}
PLANNING = """
async (inputs) => {
  const start = performance.now();
  const asked = { calculator: "cut-list", place: "cut-list", inputs, system: "us" };
  const first = await GuideEngine.call({ do: "answer", ...asked });
  const drawn = performance.now() - start;
  const { search } = await GuideEngine.call({ do: "plan-start", ...asked });
  for (;;) {
    const told = await GuideEngine.call({ do: "plan-step", search, steps: 20, ...asked });
    const better = (told.pieces ? told : first).headline;
    if (told.pieces || told.done) return [drawn, performance.now() - start, first.headline, better];
  }
}
"""


def bench_plan(executable: str) -> None:
    """Print how long the first plan of a 60-row cutting list takes, and the better one."""
    with ready_page(executable, "cut-plans.html") as page:
        first, better, said, said_then = page.evaluate(PLANNING, PLAN)
    better_words = "better plan" if said_then != said else "end of the search, none better"
    say(f"  cutting list of 60 kinds, first plan: {first / 1000:.2f} s{verdict(first / 1000, TARGETS['plan s'])}")
    say(
        f"  cutting list of 60 kinds, {better_words}: {better / 1000:.2f} "
        f"s{verdict(better / 1000, TARGETS['better plan s'])}"
    )


CLASS_FILES = 500


def bench_class(executable: str) -> None:
    """Print how long the class at a glance takes for 500 records, from their choice to the table."""
    plain = [(each, as_data(each)) for each in DEMOS]
    files = []
    for number in range(CLASS_FILES):
        record, data = plain[number % len(plain)]
        text = json.dumps({**data, "id": f"bench-{number:04d}", "name": f"{record.name} {number}"})
        files.append({"name": f"{number}.json", "mimeType": "application/json", "buffer": text.encode()})
    with ready_page(executable, "class.html") as page:
        start = time.perf_counter()
        page.set_input_files("#class-files", files)
        page.wait_for_selector(".glance-tools:not([hidden])")
        took = time.perf_counter() - start
    say(f"  class at a glance, {CLASS_FILES} records: {took:.2f} s{verdict(took, TARGETS['class s'])}")


PHONE = {"width": 390, "height": 844}
HEIGHTS = """() => [
  [document.querySelector(".md-content article").offsetHeight / innerHeight,
    ...[...document.querySelectorAll("[data-calculator]")].map((each) => each.offsetHeight / innerHeight)],
  [...document.querySelectorAll("[data-calculator]")].map((each) => each.id),
]"""
MEASURED = ROOT / "docs" / "measured.md"
HEIGHTS_HEAD = "| page, and each form on it | screens |\n|---|---|\n"


def written_heights(text: str) -> dict[str, float]:
    """What was written down of each page and form the last time.

    >>> written_heights(HEIGHTS_HEAD + "| `groove` | 7.1 |\\n| `groove#groove` | 1.7 |\\n\\nMore.")
    {'groove': 7.1, 'groove#groove': 1.7}
    """
    lines = takewhile(lambda line: line.startswith("|"), text.partition(HEIGHTS_HEAD)[2].splitlines())
    return {name.strip("`"): float(screens) for name, screens in (line.strip("| ").split(" | ") for line in lines)}


def bench_heights(executable: str, write: bool) -> None:
    """Print how many screens of a phone each page and each form is tall, before anything folded is opened, beside
    what docs/measured.md says; `write` puts the new figures there.
    """
    before, now = written_heights(MEASURED.read_text()), {}
    with new_browser(executable) as opened:
        page = opened.new_page(viewport=PHONE)
        for path in sorted(SITE.glob("*.html")):
            page.goto(path.as_uri())
            (whole, *forms), ids = page.evaluate(HEIGHTS)
            now |= {path.stem: whole} | {f"{path.stem}#{name}": tall for name, tall in zip(ids, forms, strict=True)}
    for name, screens in now.items():
        was = f" (was {before[name]:.1f})" if name in before else ""
        say(f"  {name}: {screens:.1f} screens of {PHONE['width']} x {PHONE['height']}{was}")
    if write:
        head, mark, rest = MEASURED.read_text().partition(HEIGHTS_HEAD)
        rows = [f"| `{name}` | {screens:.1f} |" for name, screens in now.items()]
        after = dropwhile(lambda line: line.startswith("|"), rest.splitlines())
        MEASURED.write_text("\n".join([head + mark + rows[0], *rows[1:], *after, ""]))


SLOW_LINE = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 0.75e6 / 8}
PAINTED = "() => performance.getEntriesByName('first-contentful-paint').map((each) => each.startTime)"


def bench_slow_line(executable: str, rounds: int) -> None:
    """Print how long a first visit takes to be readable at 1.6 Mbit/s and 150 ms.

    Text on the screen, style sheets in.
    """
    for path in ("index.html", CALCULATOR_PAGE):
        times = []
        for _ in range(rounds):
            with server.Running(SITE) as running, new_browser(executable) as opened:
                page = opened.new_context(service_workers="block").new_page()
                session = page.context.new_cdp_session(page)
                session.send("Network.enable")
                session.send("Network.emulateNetworkConditions", SLOW_LINE)
                page.goto(running.url + path, wait_until="domcontentloaded")
                page.wait_for_function(f"() => ({PAINTED})().length > 0")
                times += page.evaluate(PAINTED)
        middle = statistics.median(times)
        say(
            f"  {path} readable on a line of 1.6 Mbit/s, 150 ms: median {middle:.0f}, max {max(times):.0f} ms, "
            f"n={len(times)}"
            f"{verdict(middle, TARGETS['readable ms'])}"
        )


def bench_old_phone(executable: str) -> None:
    """Print start and typing with the processor slowed to a sixth, as on an old phone.

    No target: the figures are said.
    """
    with server.Running(SITE) as running, new_browser(executable) as opened:
        page = opened.new_context(service_workers="block").new_page()
        session = page.context.new_cdp_session(page)
        page.goto(running.url + CALCULATOR_PAGE)
        session.send("Emulation.setCPUThrottlingRate", {"rate": 6})
        took = page.evaluate(
            "async () => { const start = performance.now(); await GuideEngine.call({do: 'answer', calculator: "
            "'groove', inputs: {}}); return performance.now() - start; }"
        )
        typed = page.evaluate(CHANGING, ["groove", "thickness", False, WARM, TYPED[:10 + WARM]])
    painted = [each[1] for each in typed]
    say(
        f"  page slowed to a sixth: start to first live answer {took / 1000:.1f} s, keystroke to painted answer median "
        f"{statistics.median(painted):.0f} ms, max {max(painted):.0f} ms, n={len(painted)} (the page's own thread "
        "is slowed, the engine's is not)"
    )


def bench_page_weight(executable: str) -> None:
    """Print what a first visit sends before the engine is wanted, compressed as sent."""
    received: dict[str, int] = {}
    with server.Running(SITE) as running, new_browser(executable) as opened:
        # The worker that keeps the guide would fetch everything; it starts after the page, so it is left out here.
        page = opened.new_context(service_workers="block").new_page()
        session = page.context.new_cdp_session(page)
        names: dict[str, str] = {}
        session.on("Network.responseReceived", lambda e: names.update({e["requestId"]: e["response"]["url"]}))
        session.on("Network.loadingFinished", lambda e: received.update({e["requestId"]: int(e["encodedDataLength"])}))
        session.send("Network.enable")
        page.goto(running.url + CALCULATOR_PAGE)
        page.wait_for_load_state("load")
        page.wait_for_timeout(500)
        engine = tuple(f"{running.url}assets/engine/{part}-" for part in ("py", "calc", "worker"))
        weight = sum(size for key, size in received.items() if not names.get(key, "").startswith(engine))
    kilobytes = weight / 1000
    say(f"  page before the engine, compressed: {kilobytes:.0f} KB{verdict(kilobytes, TARGETS['page KB'])}")


def brotli_size(path: Path) -> int:
    """Bytes of a file as brotli sends it."""
    copy = path.with_name(path.name + ".br")
    return (copy if copy.exists() else path).stat().st_size


def engine_brotli(site: Path) -> dict[str, int]:
    """Bytes of the engine's parts as brotli sends them.

    By the kept memory, by the bytecode, and Pyodide as shipped with calc's sources.
    """
    folder = site / "assets" / "engine"
    (runtime,) = folder.glob("py-*")
    both = [
        *(runtime / name for name in ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")),
        *folder.glob("worker-*.mjs"),
        folder / "engine.js",
    ]
    ways = {
        "kept": folder.glob("memory-*.bin"),
        "bytecode": [runtime / "library.zip", *folder.glob(f"calc-{'[0-9a-f]' * 12}.zip")],
    }
    found = {way: sum(map(brotli_size, [*both, *own])) for way, own in ways.items()}
    stock = [brotli_size(path) for path in both[:3]] + [
        len(site_build.compressed((engine_build.PYODIDE / name).read_bytes(), ".br", 11))
        for name in ("python_stdlib.zip", "pyodide-lock.json")
    ]
    return found | {"stock": sum(stock) + brotli_size(folder / engine_build.SOURCE_NAME)}


def bench_weights() -> None:
    """Print the engine's and the packed zip's weight."""
    megabytes = {way: size / 1e6 for way, size in engine_brotli(SITE).items()}
    say(
        f"  engine, brotli: {megabytes['kept']:.2f} MB{verdict(megabytes['kept'], round(megabytes['stock'], 2))}, "
        "the target being Pyodide as shipped with calc's sources"
    )
    say(
        f"  engine on a line that the browser calls slow, brotli: {megabytes['bytecode']:.2f} "
        f"MB{verdict(megabytes['bytecode'], TARGETS['engine MB'])}"
    )
    packed = packer.pack()
    say(f"  packed zip: {packed.stat().st_size / 1e6:.1f} MB ({packed.relative_to(ROOT).as_posix()})")


def bench_build() -> None:
    """Print the time of a whole build with a warm cache."""
    start = time.monotonic()
    site_build.build(force=True)
    took = time.monotonic() - start
    say(f"  site build, engine and compression from the cache: {took:.1f} s{verdict(took, TARGETS['build s'])}")


def main(arguments: list[str]) -> int:
    asked = guide.options("bench", arguments)
    short = asked.short
    executable = browser.find_or_install()
    site_build.build()
    if asked.heights:
        bench_heights(executable, write=True)
        return 0
    say("\nMeasured on this machine:")
    bench_start(executable, 2 if short else 7)
    bench_changes(executable, 20 if short else 100)
    bench_heat(executable, 1 if short else 5)
    bench_plan(executable)
    bench_class(executable)
    bench_slow_line(executable, 1 if short else 5)
    bench_old_phone(executable)
    bench_page_weight(executable)
    bench_heights(executable, write=False)
    bench_weights()
    bench_build()
    return 0


if __name__ == "__main__":
    main_guard(main)
