"""Drives a Firefox and a WebKit that are on this machine, by the protocols that they bring along.

Firefox listens for Marionette: messages of JSON over a socket, each after its length. WebKitGTK's driver listens for W3C WebDriver
over HTTP. The commands are the same, so one `Driver` serves both: `go`, `run`, `type`.
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

STARTS_WITHIN = 60
ANSWERS_WITHIN = 180
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
FIREFOX_NAMES = ("firefox-esr", "firefox")
# The window of WebKitGTK that lets itself be driven; Debian keeps it beside the library.
MINIBROWSERS = "webkit2gtk-4.*/MiniBrowser"
# No look-up of updates, add-ons or names: a test machine's network is closed.
FIREFOX_PREFERENCES = {
    "app.normandy.enabled": False, "app.update.enabled": False, "browser.safebrowsing.downloads.enabled": False,
    "browser.safebrowsing.malware.enabled": False, "browser.safebrowsing.phishing.enabled": False,
    "browser.shell.checkDefaultBrowser": False, "browser.startup.homepage": "about:blank", "datareporting.policy.dataSubmissionEnabled": False,
    "extensions.update.enabled": False, "marionette.port": 0, "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False, "services.settings.server": "data:,", "toolkit.telemetry.enabled": False,
}


class Driver:
    """A window of another browser."""

    def command(self, name: str, method: str, path: str, values: dict[str, Any]) -> Any:
        raise NotImplementedError

    def go(self, address: str) -> None:
        """Open a page and wait until it is loaded."""
        self.command("WebDriver:Navigate", "POST", "url", {"url": address})

    def run(self, code: str, *given: Any) -> Any:
        """What the body of an async function returns; `given` is its `arguments`."""
        wrapped = (
            "const done = arguments[arguments.length - 1]; const given = [...arguments].slice(0, -1);"
            f"(async function () {{ {code} }}).apply(null, given).then((value) => done({{ value }}), (error) => done({{ error: String(error) }}));"
        )
        told = self.command("WebDriver:ExecuteAsyncScript", "POST", "execute/async", {"script": wrapped, "args": list(given)})
        assert "error" not in told, told["error"]
        return told.get("value")

    def wait(self, expression: str, within: float = ANSWERS_WITHIN) -> None:
        """Wait until an expression of the page holds."""
        end = time.monotonic() + within
        while not self.run(f"return !!({expression});"):
            assert time.monotonic() < end, f"never came: {expression}"
            time.sleep(0.1)

    def type(self, selector: str, text: str) -> None:
        """Empty a field and type into it, by keys."""
        found = self.command("WebDriver:FindElement", "POST", "element", {"using": "css selector", "value": selector})
        ident = found[ELEMENT]
        self.command("WebDriver:ElementClear", "POST", f"element/{ident}/clear", {"id": ident})
        self.command("WebDriver:ElementSendKeys", "POST", f"element/{ident}/value", {"id": ident, "text": text})


class Firefox(Driver):
    """Firefox over Marionette."""

    def __init__(self, port: int) -> None:
        self.socket = socket.create_connection(("127.0.0.1", port), timeout=ANSWERS_WITHIN)
        self.stream = self.socket.makefile("rb")
        self.count = 0
        self.read()  # its greeting
        self.command("WebDriver:NewSession", "", "", {"capabilities": {"alwaysMatch": {"timeouts": {"script": ANSWERS_WITHIN * 1000}}}})

    def read(self) -> Any:
        length = b""
        while (letter := self.stream.read(1)) != b":":
            length += letter
        return json.loads(self.stream.read(int(length)))

    def command(self, name: str, method: str, path: str, values: dict[str, Any]) -> Any:
        self.count += 1
        message = json.dumps([0, self.count, name, values]).encode()
        self.socket.sendall(f"{len(message)}:".encode() + message)
        _, _, error, told = self.read()
        assert error is None, error
        return told["value"] if isinstance(told, dict) and "value" in told else told


class WebKit(Driver):
    """WebKitGTK over WebDriver."""

    def __init__(self, port: int, browser: str) -> None:
        self.base = f"http://127.0.0.1:{port}/session"
        options = {"webkitgtk:browserOptions": {"binary": browser, "args": ["--automation"]}, "timeouts": {"script": ANSWERS_WITHIN * 1000}}
        self.base += "/" + self.command("", "POST", "", {"capabilities": {"alwaysMatch": options}})["sessionId"]

    def command(self, name: str, method: str, path: str, values: dict[str, Any]) -> Any:
        address = f"{self.base}/{path}" if path else self.base
        request = urllib.request.Request(address, json.dumps(values).encode() if method == "POST" else None,
                                         {"Content-Type": "application/json"}, method=method)
        try:
            with urllib.request.urlopen(request, timeout=ANSWERS_WITHIN) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise AssertionError(error.read().decode()) from error


def find_firefox() -> str | None:
    """Path of a Firefox, or None."""
    return next(filter(None, map(shutil.which, FIREFOX_NAMES)), None)


def minibrowser() -> str | None:
    """The drivable window of WebKitGTK."""
    found = sorted(path for folder in ("/usr/lib", "/usr/libexec") for path in Path(folder).glob(f"**/{MINIBROWSERS}"))
    return str(found[-1]) if found else None


def find_webkit() -> str | None:
    """Path of WebKitGTK's driver if all that it needs is here, or None."""
    return shutil.which("WebKitWebDriver") if minibrowser() and (os.environ.get("DISPLAY") or shutil.which("Xvfb")) else None


@contextmanager
def process(command: list[str], **more: str) -> Iterator[subprocess.Popen]:
    """A program that ends with the block."""
    started = subprocess.Popen(command, env={**os.environ, **more}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield started
    finally:
        started.terminate()
        try:
            started.wait(20)
        except subprocess.TimeoutExpired:
            started.kill()
            started.wait()


def wait_until(holds, what: str) -> Any:
    """What `holds` gives once it gives something."""
    end = time.monotonic() + STARTS_WITHIN
    while not (found := holds()):
        assert time.monotonic() < end, f"{what} did not start"
        time.sleep(0.1)
    return found


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def listening(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def firefox(folder: Path) -> Iterator[Driver]:
    """A Firefox without a window, its profile in the folder."""
    folder.mkdir(parents=True)
    (folder / "user.js").write_text("".join(f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in FIREFOX_PREFERENCES.items()))
    with process([find_firefox() or "", "--headless", "--marionette", "--no-remote", "--profile", str(folder)], HOME=str(folder), MOZ_CRASHREPORTER_DISABLE="1"):
        port = folder / "MarionetteActivePort"
        wait_until(lambda: port.exists() and port.read_text().strip(), "Firefox")
        yield Firefox(int(port.read_text()))


@contextmanager
def screen(folder: Path) -> Iterator[str]:
    """The name of a screen: the machine's own, or one that nobody sees."""
    if os.environ.get("DISPLAY"):
        yield os.environ["DISPLAY"]
        return
    number = next(each for each in range(90, 200) if not Path(f"/tmp/.X11-unix/X{each}").exists())
    with process(["Xvfb", f":{number}", "-screen", "0", "1280x900x24", "-nolisten", "tcp"]):
        wait_until(lambda: Path(f"/tmp/.X11-unix/X{number}").exists(), "Xvfb")
        yield f":{number}"


@contextmanager
def webkit(folder: Path) -> Iterator[Driver]:
    """A WebKit, its files in the folder."""
    folder.mkdir(parents=True)
    port = free_port()
    with screen(folder) as display, process(["WebKitWebDriver", f"--port={port}"], DISPLAY=display, HOME=str(folder),
                                            XDG_CACHE_HOME=str(folder / "cache"), XDG_DATA_HOME=str(folder / "data")):
        wait_until(lambda: listening(port), "WebKit's driver")
        yield WebKit(port, minibrowser() or "")
