"""Serves the built site: right types, compressed copies, caching by name, ranges, the security headers.

Answers are kept ready in memory, with their headers, and each request looks at the file's time and size: a whole class can
fetch the whole guide at once, and a file changed on disk is read anew.
"""

from __future__ import annotations

import argparse
import functools
import hashlib
import mimetypes
import os
import re
import socket
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from email.utils import formatdate
from http import HTTPStatus
from pathlib import Path
from urllib.parse import unquote

import uvicorn
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from tools.build import policy
from tools.common import SITE, Trouble, allow_many_connections, main_guard, say

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8000
PORTS_TO_TRY = 50

# Said here and not left to the machine: a registry or a mime.types file may say otherwise.
TYPES = {
    ".bin": "application/octet-stream", ".css": "text/css", ".html": "text/html", ".js": "text/javascript", ".json": "application/json",
    ".mjs": "text/javascript", ".png": "image/png", ".svg": "image/svg+xml", ".txt": "text/plain",
    ".wasm": "application/wasm", ".webmanifest": "application/manifest+json", ".woff2": "font/woff2",
    ".xml": "text/xml", ".zip": "application/zip",
}
ENCODINGS = ((".br", "br"), (".gz", "gzip"))
# Names that carry a hash of their content never change.
IMMUTABLE = re.compile(r"(^|/)(assets/engine/(py|calc|memory|worker)-[0-9a-f]{12}|assets/inline/|[^/]+\.[0-9a-f]{8,}\.(min\.)?(js|css)$)")
LASTING = "public, max-age=31536000, immutable"
MISSING_PAGE = "404.html"

Headers = list[tuple[bytes, bytes]]


def media_type(path: str) -> str:
    """The media type of a file by its name."""
    suffix = Path(path).suffix.lower()
    return TYPES.get(suffix) or mimetypes.guess_type(path)[0] or "application/octet-stream"


def content_type(path: str) -> str:
    """The Content-Type of a file by its name: every text of the guide is UTF-8."""
    kind = media_type(path)
    return f"{kind}; charset=utf-8" if kind.startswith("text/") else kind


def cache_control(path: str) -> str:
    """How long a browser may keep a file of this path inside the site."""
    return LASTING if IMMUTABLE.search(path) else "no-cache"


@functools.lru_cache(256)
def accepted(header: str) -> frozenset[str]:
    """The encodings that an Accept-Encoding header takes; those with q=0 are refused."""
    found = set()
    for part in header.split(","):
        name, _, weight = part.strip().partition(";")
        if not re.fullmatch(r"\s*q=0(\.0*)?\s*", weight):
            found.add(name.strip().lower())
    return frozenset(found)


class OutOfRange(ValueError):
    """A part was asked for that lies behind the file's end."""


def asked_part(header: str, size: int) -> tuple[int, int] | None:
    """(start, stop) of a Range header; None for several parts or another unit: then the whole is sent, as HTTP allows."""
    match = re.fullmatch(r"bytes=\s*(\d*)-(\d*)\s*", header, re.ASCII)
    if not match or match.groups() == ("", ""):
        return None
    first, last = match.groups()
    if first and last and int(last) < int(first):
        return None
    start = int(first) if first else max(0, size - int(last))
    stop = min(size, int(last) + 1) if first and last else size
    if start >= size:
        raise OutOfRange(header)
    return start, stop


@dataclass(frozen=True)
class Answer:
    """One response. Those for whole files are made once and sent many times."""

    status: int
    headers: tuple[tuple[bytes, bytes], ...]
    body: bytes = b""

    @functools.cached_property
    def head(self) -> bytes:
        """Status line and own header lines as they are sent."""
        lines = [f"HTTP/1.1 {self.status} {HTTPStatus(self.status).phrase}\r\n".encode()]
        lines += [name + b": " + value + b"\r\n" for name, value in self.headers]
        return b"".join(lines)


def answer_of(status: int, headers: Mapping[str, str], body: bytes = b"") -> Answer:
    """An answer with its length."""
    given = dict(headers) if status == 304 else {**headers, "Content-Length": str(len(body))}
    return Answer(status, tuple((name.lower().encode(), value.encode()) for name, value in given.items()), body)


def plain_answer(status: int, **headers: str) -> Answer:
    """A short answer in words, for what is no file."""
    words = f"{HTTPStatus(status).phrase}\n".encode()
    return answer_of(status, {"Content-Type": "text/plain; charset=utf-8", "Cache-Control": "no-cache", **headers}, words)


@dataclass(frozen=True)
class Copy:
    """A file as one encoding sends it."""

    headers: Mapping[str, str]
    body: bytes

    @functools.cached_property
    def whole(self) -> Answer:
        return answer_of(200, self.headers, self.body)

    @functools.cached_property
    def unchanged(self) -> Answer:
        kept = ("ETag", "Last-Modified", "Cache-Control", "Vary")
        return answer_of(304, {name: self.headers[name] for name in kept})

    @functools.cached_property
    def missing(self) -> Answer:
        left_out = ("ETag", "Last-Modified", "Accept-Ranges")
        return answer_of(404, {name: value for name, value in self.headers.items() if name not in left_out}, self.body)

    def part(self, header: str) -> Answer:
        """The part that a Range header asks for."""
        try:
            asked = asked_part(header, len(self.body))
        except OutOfRange:
            return plain_answer(416, **{"Content-Range": f"bytes */{len(self.body)}", "Vary": "Accept-Encoding"})
        if asked is None:
            return self.whole
        start, stop = asked
        headers = {**self.headers, "Content-Range": f"bytes {start}-{stop - 1}/{len(self.body)}"}
        return answer_of(206, headers, self.body[start:stop])

    def fits(self, asked: Mapping[bytes, bytes]) -> bool:
        """Whether the browser has this copy already. Its ETag decides; without one, the time."""
        tags = asked.get(b"if-none-match")
        if tags is not None:
            given = {tag.strip().removeprefix("W/") for tag in tags.decode("latin-1").split(",")}
            return "*" in given or self.headers["ETag"] in given
        return asked.get(b"if-modified-since", b"").decode("latin-1") == self.headers["Last-Modified"]


@dataclass(frozen=True)
class Stored:
    """A file of the site in memory: the plain copy and the compressed ones, and when it was read."""

    stamp: tuple[int, int]
    plain: Copy
    packed: Mapping[str, Copy]

    def copy_for(self, asked: Mapping[bytes, bytes]) -> Copy:
        """The copy that the browser takes. Ranges are answered from the plain file."""
        if self.packed and b"range" not in asked:
            takes = accepted(asked.get(b"accept-encoding", b"").decode("latin-1"))
            for _, encoding in ENCODINGS:
                if encoding in takes and encoding in self.packed:
                    return self.packed[encoding]
        return self.plain


def copy_of(inside: str, body: bytes, modified: float, encoding: str | None = None) -> Copy:
    """One copy with every header it is sent with."""
    tag = hashlib.sha256(body).hexdigest()[:20]
    headers = {
        "Content-Type": content_type(inside), "ETag": f'"{tag}{"-" + encoding if encoding else ""}"',
        "Last-Modified": formatdate(modified, usegmt=True), "Cache-Control": cache_control(inside),
        "Vary": "Accept-Encoding",
    }
    headers |= {"Content-Encoding": encoding} if encoding else {"Accept-Ranges": "bytes"}
    return Copy(headers, body)


class SiteApp:
    """The application that serves a site below a base path: `answer` decides, `__call__` is its ASGI face."""

    def __init__(self, site: Path = SITE, base: str = "") -> None:
        self.site = os.path.realpath(site)
        self.base = base
        self.stored: dict[str, Stored] = {}
        self.common: tuple[Headers, bytes] = [], b""
        self.place = functools.lru_cache(1024)(self.place_of)

    def read(self, inside: str, full: str, stamp: tuple[int, int]) -> Stored:
        """Read a file and its compressed copies."""
        def copy(suffix: str, encoding: str | None) -> Copy:
            return copy_of(inside, Path(full + suffix).read_bytes(), stamp[0] / 1e9, encoding)

        packed = {encoding: copy(suffix, encoding) for suffix, encoding in ENCODINGS if os.path.exists(full + suffix)}
        return Stored(stamp, copy("", None), packed)

    def file(self, inside: str) -> Stored | None:
        """A file by its path inside the site, read anew when it changed; None where there is none."""
        full = f"{self.site}/{inside}"
        try:
            found = os.stat(full)
            stamp = (found.st_mtime_ns, found.st_size)
            kept = self.stored.get(inside)
            if kept and kept.stamp == stamp:
                return kept
            if not os.path.isfile(full) or not Path(os.path.realpath(full)).is_relative_to(self.site):
                return None
            self.stored[inside] = self.read(inside, full, stamp)
            return self.stored[inside]
        except (OSError, ValueError):
            self.stored.pop(inside, None)
            return None

    def inside(self, path: str) -> str | None:
        """The path inside the site that an address names; None for one that names no file of the site."""
        inside = path[len(self.base) + 1:]
        if inside.endswith("/") or not inside:
            inside += "index.html"
        strange = "\\" in inside or ":" in inside or "\0" in inside or inside.endswith((".br", ".gz"))
        return None if strange or any(part in {"", ".", ".."} for part in inside.split("/")) else inside

    def place_of(self, target: bytes) -> tuple[str | None, bool]:
        """The path inside the site that a request's address names, and whether it is to be sent on to the base path."""
        path = unquote(target.partition(b"?")[0].decode("latin-1"))
        if self.base and path in {"/", "", self.base}:
            return None, True
        return self.inside(path) if path.startswith(self.base + "/") else None, False

    def answer(self, method: str, target: bytes, asked: Mapping[bytes, bytes]) -> Answer:
        """What is answered to a method, an address and the request's headers (names in small letters)."""
        if method not in {"GET", "HEAD"}:
            return plain_answer(405, Allow="GET, HEAD")
        inside, elsewhere = self.place(target)
        if elsewhere:
            return plain_answer(307, Location=self.base + "/")
        stored = self.file(inside) if inside else None
        if stored is None:
            page = self.file(MISSING_PAGE)
            return page.copy_for(asked).missing if page else plain_answer(404)
        copy = stored.copy_for(asked)
        if copy.fits(asked):
            return copy.unchanged
        if method == "GET" and b"range" in asked and asked.get(b"if-range", copy.headers["ETag"].encode()) in {
                copy.headers["ETag"].encode(), copy.headers["Last-Modified"].encode()}:
            return copy.part(asked[b"range"].decode("latin-1"))
        return copy.whole

    def common_lines(self, headers: Headers) -> bytes:
        """The header lines that all answers share, and the empty line. uvicorn gives a new list each second, with the date."""
        if headers is not self.common[0]:
            self.common = headers, b"".join(name + b": " + value + b"\r\n" for name, value in headers) + b"\r\n"
        return self.common[1]

    async def __call__(self, scope, receive, send) -> None:
        answer = self.answer(scope["method"], scope["raw_path"], dict(scope["headers"]))
        await send({"type": "http.response.start", "status": answer.status, "headers": list(answer.headers)})
        await send({"type": "http.response.body", "body": answer.body})


class ReadyProtocol(HttpToolsProtocol):
    """uvicorn's protocol with a short way: a plain request is answered at once, without a task of its own.

    That halves the work of a request. All else (bodies, upgrades, closing, a full connection) goes uvicorn's way and reaches
    the same `answer`. Date and security headers are uvicorn's default headers on both ways, and on its own error answers.
    """

    def on_headers_complete(self) -> None:
        method, asked = self.parser.get_method(), dict(self.headers)
        free = (self.cycle is None or self.cycle.response_complete) and not self.flow.write_paused
        if (not free or method not in {b"GET", b"HEAD"} or not self.url.startswith(b"/") or self.parser.should_upgrade()
                or self.parser.get_http_version() != "1.1" or not self.parser.should_keep_alive()
                or b"content-length" in asked or b"transfer-encoding" in asked or self.transport.is_closing()):
            super().on_headers_complete()
            return
        answer = self.config.app.answer(method.decode("ascii"), self.url, asked)
        more = self.config.app.common_lines(self.server_state.default_headers)
        self.transport.writelines([answer.head, more] if method == b"HEAD" else [answer.head, more, answer.body])
        self.on_response_complete()

    def on_message_complete(self) -> None:
        if self.cycle is not None:
            super().on_message_complete()


def clean_base(text: str | None) -> str:
    """'/guide/', 'guide' -> '/guide'; nothing or '/' -> ''."""
    parts = [part for part in (text or "").split("/") if part]
    if any(part in {".", ".."} or re.search(r"[\s?#{}]", part) for part in parts):
        raise Trouble(f"--base {text!r} is not a plain path")
    return "".join("/" + part for part in parts)


def open_socket(host: str, port: int | None) -> socket.socket:
    """A listening socket on the port asked for (0: one that the system picks), or on the first free one from 8000 when none was asked for."""
    tries = [port] if port is not None else range(DEFAULT_PORT, DEFAULT_PORT + PORTS_TO_TRY)
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


def make_server(site: Path, base: str, *, log_level: str = "warning", patience: int = 2) -> uvicorn.Server:
    """A server for a site below a base path."""
    allow_many_connections()
    config = uvicorn.Config(
        SiteApp(site, base), http=ReadyProtocol, ws="none", log_level=log_level, access_log=False, lifespan="off",
        server_header=False, proxy_headers=False, headers=list(policy.HEADERS.items()), timeout_keep_alive=30,
        timeout_graceful_shutdown=patience)
    return uvicorn.Server(config)


class Running:
    """A server in a thread of this process, for tests and measurements. Use it in a with statement, or call stop().

    Without a port it takes one that the system picks: tests run side by side, and none may come to stand on a port that another has just left.
    """

    def __init__(self, site: Path, base: str = "", port: int = 0) -> None:
        self.socket = open_socket(DEFAULT_HOST, port)
        self.port = self.socket.getsockname()[1]
        self.url = f"http://{DEFAULT_HOST}:{self.port}{base}/"
        self.server = make_server(site, base, log_level="error", patience=1)
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
        from tools.build import site_build

        site_build.build()
        port = sock.getsockname()[1]
        if not is_loopback(host):
            say(network_warning(host))
        address = reachable(host)
        shown = f"[{address}]" if ":" in address else address
        say(f"\nThe guide is at http://{shown}:{port}{base}/   (stop with Ctrl+C)")
        make_server(SITE, base).run(sockets=[sock])
    return 0


if __name__ == "__main__":
    main_guard(main)
