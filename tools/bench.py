"""Measures the guide on this machine in one run: start, typing, weights, build time.

The start is compared with Pyodide as it ships, doing the same work from calc's sources, in the same browser, from the
same server, in turns, each time with a new browser profile. Times differ between machines: the ratio tells.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import shutil
import statistics
import tempfile
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Error, sync_playwright

from tools import browser, engine_build, packer, server, site_build
from tools.common import ROOT, SITE, Trouble, main_guard, say

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
STOCK_SCRIPT = """
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
OWN_SCRIPT = """
window.measure = async (text) => {
  const start = performance.now();
  const answer = await GuideEngine.call(JSON.parse(text));
  return [performance.now() - start, answer];
};
"""
# Types into the first text field of a calculator and waits for the frame after the answer changed. Runs in the page,
# so that no message between programs is counted. It alternates two values that both are valid inputs.
TYPING = """
async ([rounds, values]) => {
  const form = document.querySelector("[data-calculator]");
  const scope = form.closest("[data-calculator-root]") || form.parentElement;
  const region = form.querySelector("[data-answer]") || scope.querySelector("[data-answer]") ||
    document.querySelector("[data-answer]");
  const field = form.querySelector("input[inputmode=decimal], input[type=text]");
  const shown = () => region.textContent;
  const once = (value) => new Promise((resolve, reject) => {
    const limit = setTimeout(() => reject(new Error("no new answer for " + value + ": " + shown().slice(0, 200))), 20000);
    const watch = new MutationObserver(() => {
      watch.disconnect();
      clearTimeout(limit);
      /* The frame that shows the change has been handed over when the next task runs after its callback. */
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => resolve(performance.now() - start);
        channel.port2.postMessage(0);
      });
    });
    watch.observe(region, { childList: true, characterData: true, subtree: true, attributes: true });
    field.value = value;
    const start = performance.now();
    field.dispatchEvent(new InputEvent("input", { bubbles: true, inputType: "insertText", data: value.slice(-1) }));
  });
  const times = [];
  for (let n = 0; n < rounds + 5; n += 1) {
    const took = await once(values[n % values.length]);
    if (n >= 5) times.push(took); /* the first ones warm up */
    await new Promise((resolve) => setTimeout(resolve, 150 + 37 * (n % 7)));
  }
  return times;
}
"""
TYPING_VALUES = ("3/8", "3/4")
CALCULATOR_PAGE = "groove.html"

TARGETS = {"ratio": 0.40, "typing p95 ms": 16.0, "page KB": 350.0, "engine MB": 4.5}


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
        '<!doctype html><title>own</title><script src="assets/engine/engine.js"></script><script src="own.js"></script>')
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


def measure_start(executable: str, address: str, text: str) -> tuple[float, dict]:
    """One cold start: (milliseconds, answer)."""
    with new_browser(executable) as opened:
        page = opened.new_page()
        page.goto(address)
        page.wait_for_timeout(300)  # the empty page's own work is over
        try:
            took, answer = page.evaluate("(text) => measure(text)", text)
        except Error as error:
            raise Trouble(f"no answer from {address}: {error.message[:400]}") from error
    return took, answer


def bench_start(executable: str, rounds: int) -> float:
    """Print both starts; return the ratio of medians."""
    own, stock, answers = [], [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lay_out(folder, SITE)
        with server.Running(folder) as running:
            for _ in range(rounds):
                for page, times in (("own.html", own), ("stock/stock.html", stock)):
                    took, answer = measure_start(executable, running.url + page, request_text())
                    times.append(took)
                    answers.append(answer)
    if any(answer != answers[0] for answer in answers) or answers[0].get("engine"):
        raise Trouble(f"the two engines did not give one answer: {str(answers[0])[:300]}")
    ratio = statistics.median(own) / statistics.median(stock)
    for words, times in (("this guide", own), ("Pyodide as shipped", stock)):
        say(f"  start to first live answer, {words}: min {min(times):.0f}, median {statistics.median(times):.0f}, "
            f"max {max(times):.0f} ms, n={len(times)}")
    say(f"  ratio of medians: {ratio:.2f}{verdict(ratio, TARGETS['ratio'])}")
    return ratio


def verdict(value: float, target: float) -> str:
    """How a figure stands to its target."""
    return f"  (target at most {target:g}: {'met' if value <= target else 'MISSED'})"


def percentile(values: list[float], share: float) -> float:
    """The value that `share` of the values don't exceed (nearest rank)."""
    ordered = sorted(values)
    return ordered[max(0, -(-int(len(ordered) * share * 1000) // 1000) - 1)]


def bench_typing(executable: str, rounds: int) -> None:
    """Print keystroke to painted answer, on a served page with the whole theme."""
    with server.Running(SITE) as running, new_browser(executable) as opened:
        page = opened.new_page()
        page.goto(running.url + CALCULATOR_PAGE)
        # A function, not an expression: the policy forbids evaluating text.
        page.wait_for_function("() => ['ready', 'failed'].includes(GuideOffline.state)", timeout=120_000)
        page.evaluate("GuideEngine.start()")
        page.wait_for_timeout(1500)
        times = page.evaluate(TYPING, [rounds, list(TYPING_VALUES)])
    p95 = percentile(times, 0.95)
    say(f"  keystroke to painted answer: median {statistics.median(times):.1f}, p95 {p95:.1f}, max {max(times):.1f} ms, "
        f"n={len(times)}{verdict(p95, TARGETS['typing p95 ms'])}")


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


def engine_brotli(site: Path) -> int:
    """Bytes of the engine's big parts as brotli sends them."""
    folder = site / "assets" / "engine"
    patterns = ("py-*/*", f"calc-{'[0-9a-f]' * 12}.zip", "worker-*.mjs", "engine.js")
    parts = [path for pattern in patterns for path in folder.glob(pattern)
             if path.suffix not in site_build.COPY_SUFFIXES]
    copies = (path.with_name(path.name + ".br") for path in parts)
    return sum((copy if copy.exists() else copy.with_suffix("")).stat().st_size for copy in copies)


def bench_weights() -> None:
    """Print the engine's and the packed zip's weight."""
    megabytes = engine_brotli(SITE) / 1e6
    say(f"  engine, brotli: {megabytes:.2f} MB{verdict(megabytes, TARGETS['engine MB'])}")
    packed = packer.pack()
    say(f"  packed zip: {packed.stat().st_size / 1e6:.1f} MB ({packed.relative_to(ROOT).as_posix()})")


def bench_build() -> None:
    """Print the time of a whole build with a warm cache."""
    start = time.monotonic()
    site_build.build(force=True)
    say(f"  site build, engine and compression from the cache: {time.monotonic() - start:.1f} s")


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="guide.py bench")
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args(arguments).short
    executable = browser.find_or_install()
    site_build.build()
    say("\nMeasured on this machine:")
    bench_start(executable, 2 if short else 7)
    bench_typing(executable, 20 if short else 100)
    bench_page_weight(executable)
    bench_weights()
    bench_build()
    return 0


if __name__ == "__main__":
    main_guard(main)
