"""Runs nginx with the configuration that docs/hosting.md gives, for the tests and the comparison of `guide.py load`.

The page's configuration and its tables must agree with policy.py, `server.TYPES` and `server.IMMUTABLE`:
tests/tools/test_hosting.py asks our server and, where it is installed, nginx the same things.
"""

from __future__ import annotations

import os
import shutil
import socket
import ssl
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

from tools.check.debian import found_or_installed, try_install
from tools.common import ROOT, Trouble

PAGE = ROOT / "docs" / "hosting.md"
HOST = "127.0.0.1"
OPENING = "```nginx\n"
# The places of the block that a host changes: as the page writes them.
ROOT_LINE = "root /srv/plate-test-guide;"
LISTEN_LINE = "listen 80;"
SECURE_LINE = "listen 443 ssl http2;"
CERTIFICATE_LINES = (
    "ssl_certificate /etc/ssl/plate-test-guide.pem;",
    "ssl_certificate_key /etc/ssl/plate-test-guide.key;",
)
BROTLI_LINE = "# brotli_static on;"
PACKAGES = ["nginx", "libnginx-mod-http-brotli-static"]
BROTLI_MODULE = Path("/usr/lib/nginx/modules/ngx_http_brotli_static_module.so")
TEMPORARY = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")


def documented() -> tuple[str, str]:
    """The configuration as the page gives it, and the lines that take the place of `listen` for https."""
    whole, encrypted = (part.partition("```")[0] for part in PAGE.read_text(encoding="utf-8").split(OPENING)[1:])
    return whole, encrypted


def installed() -> str | None:
    """Path of nginx, or None. Its folder is not on everyone's PATH."""
    return shutil.which("nginx") or shutil.which(
        "nginx", path="/usr/sbin:/usr/local/sbin:/opt/homebrew/bin:/usr/local/bin"
    )


def find_or_install() -> str:
    """Path of nginx. As root on Debian it is installed where it is missing; else Trouble says what to do."""
    if not installed() and found_or_installed(installed, *PACKAGES):
        try_install(["service", "nginx", "stop"])  # the package may have started it for the whole network
    found = installed()
    if not found:
        raise Trouble("nginx was not found: the comparison needs it. On Debian or Ubuntu: apt install nginx "
                      "libnginx-mod-http-brotli-static. Without it: guide.py load --short")
    return found


def fill_in(text: str, changes: dict[str, str]) -> str:
    """The configuration with each of these lines changed.

    A line that is not there, or twice, is a fault of the page.
    """
    for old, new in changes.items():
        if text.count(old) != 1:
            raise Trouble(f"{PAGE.name}: {old!r} stands {text.count(old)} times in the configuration, not once")
        text = text.replace(old, new)
    return text


class Nginx:
    """The documented nginx for a site, on a free port. Use it in a with statement.

    `certificate` names the files of a certificate and its key: then it speaks https as the page says.
    """

    def __init__(self, site: Path, *, brotli: bool, certificate: tuple[Path, Path] | None = None) -> None:
        self.folder = tempfile.TemporaryDirectory(prefix="guide-nginx-")
        inside = Path(self.folder.name)
        with socket.socket() as free:
            free.bind((HOST, 0))
            self.port = free.getsockname()[1]
        self.url = f"{'https' if certificate else 'http'}://{HOST}:{self.port}/"
        temporary = "".join(f"{name}_temp_path {inside / name};" for name in TEMPORARY)
        whole, encrypted = documented()
        listen = f"listen {HOST}:{self.port};"
        if certificate:
            names = (f'{line.split()[0]} "{path}";' for line, path in zip(CERTIFICATE_LINES, certificate, strict=True))
            listen = fill_in(
                encrypted,
                {SECURE_LINE: listen.replace(";", " ssl http2;"), **dict(zip(CERTIFICATE_LINES, names, strict=True))},
            )
        text = fill_in(whole, {
            "http {": "http {" + temporary, LISTEN_LINE: listen,
            ROOT_LINE: f'root "{site}";', **({BROTLI_LINE: "brotli_static on;"} if brotli else {}),
        })
        # As root nginx gives up its rights, and could then not read a test's own folder.
        first = [f"load_module {BROTLI_MODULE};"] if brotli else []
        first += ["user root;"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        log = inside / "error.log"
        (inside / "nginx.conf").write_text("\n".join(
            [*first, "daemon off;", f"pid {inside / 'nginx.pid'};", f"error_log {log};", text]), encoding="utf-8")
        self.process = subprocess.Popen(
            [find_or_install(), "-p", str(inside), "-e", str(log), "-c", str(inside / "nginx.conf")],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            wait_until_up(self.url, self.process)
        except Trouble as trouble:
            said = log.read_text(encoding="utf-8")[-600:] if log.exists() else ""
            self.stop()
            raise Trouble(f"nginx did not start with the configuration of {PAGE.name}: {trouble}\n{said}") from trouble

    def stop(self) -> None:
        """Stop nginx and remove its folder."""
        self.process.terminate()
        self.process.wait(20)
        self.folder.cleanup()

    def __enter__(self) -> "Nginx":
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()


def wait_until_up(url: str, process: subprocess.Popen) -> None:
    """Wait until a server answers; Trouble if it ends or stays silent. Whose certificate it shows is no matter here."""
    handlers = urllib.request.ProxyHandler({}), urllib.request.HTTPSHandler(context=ssl._create_unverified_context())
    for _ in range(300):
        if process.poll() is not None:
            raise Trouble(f"it ended with exit {process.returncode}")
        try:
            with urllib.request.build_opener(*handlers).open(url, timeout=5):
                return
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.1)
    raise Trouble(f"no answer from {url}")
