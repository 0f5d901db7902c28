"""Serves the built site: right types, compressed copies, caching by name, the security headers."""

from __future__ import annotations

import argparse
import mimetypes
import os
import re
import socket
import threading
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import NotModifiedResponse, StaticFiles

from tools import policy
from tools.common import SITE, Trouble, main_guard, say

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8000
PORTS_TO_TRY = 50

# Said here and not left to the machine: a registry or a mime.types file may say otherwise.
TYPES = {
    ".css": "text/css", ".html": "text/html", ".js": "text/javascript", ".json": "application/json",
    ".mjs": "text/javascript", ".svg": "image/svg+xml", ".txt": "text/plain", ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json", ".woff2": "font/woff2", ".zip": "application/zip",
}
ENCODINGS = ((".br", "br"), (".gz", "gzip"))
# Names that carry a hash of their content never change.
IMMUTABLE = re.compile(r"(^|/)(assets/engine/(py|calc|worker)-[0-9a-f]{12}|assets/inline/|[^/]+\.[0-9a-f]{8,}\.(min\.)?(js|css)$)")


def media_type(path: str) -> str:
    """The media type of a file by its name."""
    suffix = Path(path).suffix.lower()
    return TYPES.get(suffix) or mimetypes.guess_type(path)[0] or "application/octet-stream"


def accepted(header: str) -> set[str]:
    """The encodings that an Accept-Encoding header takes; those with q=0 are refused."""
    found = set()
    for part in header.split(","):
        name, _, weight = part.strip().partition(";")
        if not re.fullmatch(r"\s*q=0(\.0*)?\s*", weight):
            found.add(name.strip().lower())
    return found


class SiteFiles(StaticFiles):
    """Static files with their compressed copies. Ranges are answered from the plain file."""

    def file_response(self, full_path, stat_result, scope, status_code=200) -> Response:
        asked = Headers(scope=scope)
        path, encoding = os.fspath(full_path), None
        takes = accepted(asked.get("accept-encoding", ""))
        for suffix, name in ENCODINGS:
            if name in takes and "range" not in asked and os.path.exists(path + suffix):
                encoding, stat_result = name, os.stat(path + suffix)
                break
        body = path + (dict((b, a) for a, b in ENCODINGS)[encoding] if encoding else "")
        response = FileResponse(body, status_code=status_code, stat_result=stat_result, media_type=media_type(path))
        response.headers["Vary"] = "Accept-Encoding"
        if encoding:
            response.headers["Content-Encoding"] = encoding
        inside = Path(path).relative_to(self.directory).as_posix()
        lasting = IMMUTABLE.search(inside)
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if lasting else "no-cache"
        if status_code == 200 and self.is_not_modified(response.headers, asked):
            return NotModifiedResponse(response.headers)
        return response


class WithHeaders:
    """Adds the security headers to every response, errors included."""

    def __init__(self, app) -> None:
        self.app = app

    async def __call__(self, scope, receive, send) -> None:
        async def send_with(message):
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in policy.HEADERS.items():
                    headers[name] = value
            await send(message)

        await self.app(scope, receive, send_with if scope["type"] == "http" else send)


def clean_base(text: str | None) -> str:
    """'/guide/', 'guide' -> '/guide'; nothing or '/' -> ''."""
    parts = [part for part in (text or "").split("/") if part]
    if any(part in {".", ".."} or re.search(r"[\s?#{}]", part) for part in parts):
        raise Trouble(f"--base {text!r} is not a plain path")
    return "".join("/" + part for part in parts)


def make_app(site: Path = SITE, base: str = "") -> WithHeaders:
    """The application that serves a site below a base path."""
    files = SiteFiles(directory=site.resolve(), html=True)
    routes: list = [Mount(base or "/", app=files)]
    if base:
        routes.append(Route("/", lambda request: RedirectResponse(base + "/")))
    return WithHeaders(Starlette(routes=routes))


def open_socket(host: str, port: int | None) -> socket.socket:
    """A listening socket on the port asked for, or on the first free one from 8000 when none was asked for."""
    tries = [port] if port else range(DEFAULT_PORT, DEFAULT_PORT + PORTS_TO_TRY)
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for number in tries:
        sock = socket.socket(family, socket.SOCK_STREAM)
        if os.name != "nt":  # there it would let two programs share one port
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            sock.bind((host, number))
            sock.listen(128)
            return sock
        except OSError as error:
            sock.close()
            reason = error.strerror or str(error)
            if isinstance(error, socket.gaierror) or error.errno not in {13, 48, 98, 10013, 10048}:
                raise Trouble(f"can't serve on {host}: {reason}") from error
    if port:
        raise Trouble(f"port {port} can't be used ({reason}): give another with --port, or leave --port out")
    raise Trouble(f"no free port from {DEFAULT_PORT} to {DEFAULT_PORT + PORTS_TO_TRY - 1}: give one with --port")


def is_loopback(host: str) -> bool:
    """Whether only this computer can reach the address."""
    return host in {"localhost", "::1"} or host.startswith("127.")


def network_warning(host: str) -> str:
    """What serving on a network opens, in plain words."""
    return (f"WARNING: serving on {host}: anyone on this network can read the guide at this address. They can't change\n"
            "anything. The connection is not encrypted. Browsers on other computers don't keep the guide for use without\n"
            "a network over plain http; give them the packed zip for that. Stop with Ctrl+C.")


def reachable(host: str) -> str:
    """The address to tell people: 0.0.0.0 and :: mean every network of this computer and lead nowhere themselves."""
    if host not in {"0.0.0.0", "::"}:
        return host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only asks which of our addresses would be used
            return probe.getsockname()[0]
        except OSError:
            return DEFAULT_HOST


def run_server(sock: socket.socket, app) -> None:
    """Serve until interrupted."""
    config = uvicorn.Config(app, log_level="warning", access_log=False, lifespan="off", server_header=False,
                            timeout_keep_alive=30, timeout_graceful_shutdown=2)
    uvicorn.Server(config).run(sockets=[sock])


class Running:
    """A server in a thread of this process, for tests and measurements. Use it in a with statement, or call stop()."""

    def __init__(self, site: Path, base: str = "", port: int | None = None) -> None:
        self.socket = open_socket(DEFAULT_HOST, port)
        self.port = self.socket.getsockname()[1]
        self.url = f"http://{DEFAULT_HOST}:{self.port}{base}/"
        config = uvicorn.Config(make_app(site, base), log_level="error", access_log=False, lifespan="off",
                                timeout_graceful_shutdown=1)
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.socket]}, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        """Stop answering and free the port."""
        self.server.should_exit = True
        self.thread.join(10)
        self.socket.close()

    def __enter__(self) -> "Running":
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="guide.py serve")
    parser.add_argument("--host", default=DEFAULT_HOST)
    parser.add_argument("--port", type=int)
    parser.add_argument("--base")
    options = parser.parse_args(arguments)
    host, base = options.host or DEFAULT_HOST, clean_base(options.base)
    sock = open_socket(host, options.port)  # before the build: a taken port is told at once
    with sock:
        from tools import site_build

        site_build.build()
        port = sock.getsockname()[1]
        if not is_loopback(host):
            say(network_warning(host))
        address = reachable(host)
        shown = f"[{address}]" if ":" in address else address
        say(f"\nThe guide is at http://{shown}:{port}{base}/   (stop with Ctrl+C)")
        run_server(sock, make_app(SITE, base))
    return 0


if __name__ == "__main__":
    main_guard(main)
