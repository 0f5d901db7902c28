"""Serves the built site: starlette's file server behind uvicorn, with our types, copies, caching and headers.

starlette decides what lies inside the folder, what a browser has already (ETag, time) and which part of a file is
asked for. It does so in threads, one for each look at the disk; a class at once waits for those and not for the disk,
so here a file is looked up and sent without them. Every answer carries policy.HEADERS: they are uvicorn's default
headers, on its own refusals too.
"""

from __future__ import annotations

import contextlib
import datetime
import functools
import mimetypes
import os
import re
import socket
import stat
import threading
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import NotModifiedResponse, StaticFiles
from starlette.types import Receive, Scope, Send

from tools import guide
from tools.build import policy
from tools.common import LOCAL, SITE, Trouble, allow_many_connections, main_guard, say
from tools.serve import certificate
from tools.serve.room import JOIN, NAME, Room, named, places

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8000
PORTS_TO_TRY = 50
SECURE_AFTER = 443
"""How far the port for https lies after the other: 8443 beside 8000."""

# Said here and not left to the machine: a registry or a mime.types file may say otherwise.
TYPES = {
    ".bin": "application/octet-stream", ".css": "text/css", ".html": "text/html", ".js": "text/javascript",
    ".json": "application/json", ".mjs": "text/javascript", ".png": "image/png", ".svg": "image/svg+xml",
    ".txt": "text/plain", ".wasm": "application/wasm", ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2", ".xml": "text/xml", ".zip": "application/zip",
}
ENCODINGS = {".br": "br", ".gz": "gzip"}
# Names that carry a hash of their content never change.
IMMUTABLE = re.compile(
    r"(^|/)(assets/engine/(py|calc|memory|worker)-[0-9a-f]{12}|assets/inline/|[^/]+\.[0-9a-f]{8,}\.(min\.)?(js|css)$)"
)
LASTING = "public, max-age=31536000, immutable"


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


def accepted(header: str) -> set[str]:
    """The encodings that an Accept-Encoding header takes; those with q=0 are refused."""
    parts = (part.partition(";") for part in header.lower().split(","))
    return {name.strip() for name, _, weight in parts if not re.fullmatch(r"\s*q=0(\.0*)?\s*", weight)}


@functools.lru_cache(1024)
def content(path: str, modified: int, size: int) -> bytes:
    """The bytes of a file as it stood at that time, once for all readers of it."""
    return Path(path).read_bytes()


class KeptFile(FileResponse):
    """A file that is sent at once from memory where all of it is asked for."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] == "HEAD" or "range" in Headers(scope=scope):
            await super().__call__(scope, receive, send)
            return
        await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
        body = content(self.path, self.stat_result.st_mtime_ns, self.stat_result.st_size)
        await send({"type": "http.response.body", "body": body})


class SiteFiles(StaticFiles):
    """The files of a folder, with the compressed copy that a browser takes in place of a file."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file at a path. HTTPException 405 for a method that asks for none, 404 where there is none."""
        if scope["method"] not in {"GET", "HEAD"}:
            raise HTTPException(405, headers={"Allow": "GET, HEAD"})
        try:
            full_path, found = self.lookup_path(f"{path}/index.html" if scope["path"].endswith("/") else path)
        except (OSError, ValueError):
            found = None
        if found is None or not stat.S_ISREG(found.st_mode) or Path(full_path).suffix in ENCODINGS:
            raise HTTPException(404)
        return self.file_response(full_path, found, scope)

    def file_response(self, full_path, stat_result, scope: Scope, status_code: int = 200) -> Response:
        """The file, or that the browser has it already. Ranges are answered from the plain file."""
        asked = Headers(scope=scope)
        headers = {"Cache-Control": cache_control(Path(full_path).as_posix()), "Vary": "Accept-Encoding"}
        kind = media_type(full_path)
        if "range" not in asked:
            takes = accepted(asked.get("accept-encoding", ""))
            for suffix, encoding in ENCODINGS.items():
                if encoding in takes and os.path.exists(full_path + suffix):
                    full_path, stat_result = full_path + suffix, os.stat(full_path + suffix)
                    headers["Content-Encoding"] = encoding
                    break
        response = KeptFile(full_path, status_code, headers, kind, stat_result=stat_result)
        return NotModifiedResponse(response.headers) if self.is_not_modified(response.headers, asked) else response


def site_app(site: Path = SITE, base: str = "", extra: Iterable[Route] = ()) -> Starlette:
    """The application that serves a site below a base path, and the guide's own page for what is missing; before it
    what else there is."""
    async def missing(_: Request, error: HTTPException) -> Response:
        page = site / "404.html"
        if not page.is_file():
            return PlainTextResponse(error.detail, 404)
        return FileResponse(page, 404, {"Cache-Control": "no-cache"})

    async def to_base(_: Request) -> Response:
        return RedirectResponse(base + "/")

    redirects = [Route(path, to_base) for path in ("/", base)] if base else []
    return Starlette(
        routes=[*extra, *redirects, Mount(base or "/", SiteFiles(directory=site))], exception_handlers={404: missing}
    )


def clean_base(text: str | None) -> str:
    """'/guide/', 'guide' -> '/guide'; nothing or '/' -> ''."""
    parts = [part for part in (text or "").split("/") if part]
    if any(part in {".", ".."} or re.search(r"[\s?#{}]", part) for part in parts):
        raise Trouble(f"--base {text!r} is not a plain path")
    return "".join("/" + part for part in parts)


def open_socket(host: str, port: int | None) -> socket.socket:
    """A listening socket on the port asked for (0: one that the system picks). Without one it is `DEFAULT_PORT`, or on
    this computer alone the first free one after it: a class keeps what it keeps under one address, so there another
    port is for the instructor to choose."""
    alone = port is None and is_loopback(host)
    first = DEFAULT_PORT if port is None else port
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for number in range(first, first + (PORTS_TO_TRY if alone else 1)):
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
    if alone:
        raise Trouble(f"no free port from {DEFAULT_PORT} to {DEFAULT_PORT + PORTS_TO_TRY - 1}: give one with --port")
    raise Trouble(
        f"port {first} can't be used ({reason}). Is the guide running in another window? Else give another port with "
        "--port; what a browser keeps under the old address stays there"
    )


def is_loopback(host: str) -> bool:
    """Whether only this computer can reach the address."""
    return host in {"localhost", "::1"} or host.startswith("127.")


def network_warning(host: str) -> str:
    """What serving on a network opens, in plain words."""
    return (
        f"WARNING: serving on {host}: anyone on this network can read the guide at this address. They can't\n"
        "change anything. Over http the connection is not encrypted, and browsers on other computers don't keep the\n"
        "guide for use without a network; give them the packed zip for that, or see --https. Stop with Ctrl+C."
    )


def class_routes(files: dict[str, bytes], base: str) -> list[Route]:
    """A class beside the guide: in place of the empty files that the site has under these names."""
    def answering(name: str, data: bytes) -> Route:
        async def answer(_: Request) -> Response:
            return Response(data, media_type=content_type(name), headers={"Cache-Control": "no-cache"})

        return Route(f"{base}/{name}", answer)

    return [answering(name, data) for name, data in files.items()]


def room_routes(room: Room, trusted: Path | None) -> list[Route]:
    """The page for the projector, and the certificate that phones are asked to trust."""
    async def join(_: Request) -> Response:
        return HTMLResponse(room.page(), headers={"Cache-Control": "no-store"})

    async def certificate(_: Request) -> Response:
        return FileResponse(trusted, media_type="application/x-x509-ca-cert", filename=trusted.name)

    routes = [Route(room.base + JOIN, join)]
    return [*routes, Route(room.certificate, certificate)] if trusted else routes


def make_server(
    site: Path, base: str, extra: Iterable[Route] = (), *, log_level: str = "warning", patience: int = 2, **tls: Path
) -> uvicorn.Server:
    """A server for a site below a base path."""
    allow_many_connections()
    config = uvicorn.Config(
        site_app(site, base, extra), **tls, http="httptools", ws="none", log_level=log_level, access_log=False,
        lifespan="off", server_header=False, proxy_headers=False, headers=list(policy.HEADERS.items()),
        timeout_keep_alive=30, timeout_graceful_shutdown=patience)
    return uvicorn.Server(config)


class Running:
    """A server in a thread of this process, for tests and measurements. Use it in a with statement, or call stop().

    Without a port it takes one that the system picks: tests run side by side, and none may come to stand on a port that
    another has just left.
    """

    def __init__(self, site: Path, base: str = "", port: int = 0, beside: dict[str, bytes] | None = None) -> None:
        self.socket = open_socket(DEFAULT_HOST, port)
        self.port = self.socket.getsockname()[1]
        self.url = f"http://{DEFAULT_HOST}:{self.port}{base}/"
        routes = class_routes(beside or {}, base)
        self.server = make_server(site, base, routes, log_level="error", patience=1)
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


def serve_room(host: str, base: str, sock: socket.socket, secure: bool, beside: list[Route]) -> None:
    """Serve a class until it is stopped: tell where, answer for the name, over https too where that is asked for."""
    port = sock.getsockname()[1]
    where = places(host)
    room = Room(where, port, base)
    extra: list[Route] = []
    with contextlib.ExitStack() as open_things:
        if secure:
            own = certificate.kept(
                LOCAL / "https", NAME, [place.address for place in where], datetime.datetime.now(datetime.UTC)
            )
            room = replace(
                room, secure_port=port + SECURE_AFTER, fingerprint=own.fingerprint,
                certificate=f"{base}/{own.authority.name}",
            )
            secure_sock = open_things.enter_context(open_socket(host, room.secure_port))
        room = replace(room, unnamed=open_things.enter_context(named(where, port, base + "/")))
        extra = [*beside, *room_routes(room, own.authority if secure else None)]
        say(network_warning(host))
        say(room.lines())
        if secure:
            secured = make_server(SITE, base, extra, ssl_certfile=own.chain, ssl_keyfile=own.key)
            thread = threading.Thread(target=secured.run, kwargs={"sockets": [secure_sock]}, daemon=True)
            thread.start()
        make_server(SITE, base, extra).run(sockets=[sock])
        if secure:
            secured.should_exit = True
            thread.join(10)


def main(arguments: list[str]) -> int:
    options = guide.options("serve", arguments)
    host, base = options.host or DEFAULT_HOST, clean_base(options.base)
    if options.https and is_loopback(host):
        raise Trouble("--https is for a network: give --host too. This computer keeps the guide over http as well")
    from tools.build import packer

    beside = class_routes(packer.class_files(packer.class_named(options.class_file)), base)
    sock = open_socket(host, options.port)  # before the build: a taken port is told at once
    with sock:
        from tools.build import site_build

        site_build.build()
        if not is_loopback(host):
            serve_room(host, base, sock, options.https, beside)
            return 0
        port = sock.getsockname()[1]
        shown = f"[{host}]" if ":" in host else host
        if options.port is None and port != DEFAULT_PORT:
            say(
                f"Port {DEFAULT_PORT} is in use, so the guide is at port {port} this time. What your browser keeps "
                f"under port {DEFAULT_PORT} does not show there."
            )
        say(f"\nThe guide is at http://{shown}:{port}{base}/   (stop with Ctrl+C)")
        make_server(SITE, base, beside).run(sockets=[sock])
    return 0


if __name__ == "__main__":
    main_guard(main)
