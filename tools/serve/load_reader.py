"""Some readers of one class, in a process of their own: `python -m tools.serve.load_reader ADDRESS READERS`.

Reads the list of files from standard input, says "ready", waits for a line, lets all its readers fetch at once, says
"done" and only then checks every body, so that checking costs the servers no time. Prints what came as one line of
JSON.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import io
import json
import selectors
import sys
import time
import zlib
from collections import deque
from dataclasses import dataclass

import brotli
import pycurl

from tools.common import allow_many_connections

# As browsers do: six connections to a host, kept open, each asking for one file after the other.
CONNECTIONS = 6
BUFFER = 512 * 1024
SLOWEST = 300
ACCEPT = ["Accept-Encoding: gzip, br"]


@dataclass
class Fetched:
    """One file as it came."""

    path: str
    status: int
    body: io.BytesIO
    error: str = ""


class Reader:
    """One reader with connections of its own, driven by a selector that all readers of the process share."""

    def __init__(self, address: str, paths: list[str], selector: selectors.BaseSelector) -> None:
        self.address, self.selector = address, selector
        self.queue, self.left = deque(paths), len(paths)
        self.fetched: list[Fetched] = []
        self.due: float | None = None
        self.sockets: set[int] = set()
        self.multi = pycurl.CurlMulti()
        self.multi.setopt(pycurl.M_SOCKETFUNCTION, self.on_socket)
        self.multi.setopt(pycurl.M_TIMERFUNCTION, self.on_timer)
        self.multi.setopt(pycurl.M_MAX_HOST_CONNECTIONS, CONNECTIONS)
        self.handles = [self.new_handle() for _ in range(CONNECTIONS)]

    @staticmethod
    def new_handle() -> pycurl.Curl:
        handle = pycurl.Curl()
        for option, value in ((pycurl.HTTPHEADER, ACCEPT), (pycurl.BUFFERSIZE, BUFFER), (pycurl.NOSIGNAL, 1),
                              (pycurl.PROXY, ""), (pycurl.TIMEOUT, SLOWEST)):
            handle.setopt(option, value)
        return handle

    def on_socket(self, what: int, socket: int, _multi: object, _data: object) -> None:
        """libcurl says what it waits for at a socket."""
        if what == pycurl.POLL_REMOVE:
            if socket in self.sockets:
                self.selector.unregister(socket)
                self.sockets.discard(socket)
            return
        events = {pycurl.POLL_IN: selectors.EVENT_READ, pycurl.POLL_OUT: selectors.EVENT_WRITE}.get(
            what, selectors.EVENT_READ | selectors.EVENT_WRITE)
        (self.selector.modify if socket in self.sockets else self.selector.register)(socket, events, self)
        self.sockets.add(socket)

    def on_timer(self, milliseconds: int) -> None:
        """libcurl says when it wants to be called without any event."""
        self.due = None if milliseconds < 0 else time.monotonic() + milliseconds / 1000

    def start(self) -> None:
        for handle in self.handles:
            self.next(handle)

    def next(self, handle: pycurl.Curl) -> None:
        """Let a handle fetch the next file."""
        if self.queue:
            handle.fetched = Fetched(self.queue.popleft(), 0, io.BytesIO())
            handle.setopt(pycurl.URL, self.address + handle.fetched.path)
            handle.setopt(pycurl.WRITEFUNCTION, handle.fetched.body.write)
            self.multi.add_handle(handle)

    def act(self, socket: int, events: int) -> None:
        """Let libcurl work, then take what is finished."""
        self.multi.socket_action(socket, events)
        waiting = 1
        while waiting:
            waiting, whole, failed = self.multi.info_read()
            for handle, error in [(handle, "") for handle in whole] + [(row[0], row[2] or "failed") for row in failed]:
                handle.fetched.status, handle.fetched.error = handle.getinfo(pycurl.RESPONSE_CODE), error
                self.fetched.append(handle.fetched)
                self.left -= 1
                self.multi.remove_handle(handle)
                self.next(handle)


def run(readers: list[Reader], selector: selectors.BaseSelector) -> None:
    """Let all readers fetch until each has everything."""
    for reader in readers:
        reader.start()
    while any(reader.left for reader in readers):
        now, wait = time.monotonic(), 1.0
        for reader in readers:
            if reader.due is not None and reader.due <= now:
                reader.due, wait = None, 0.0
                reader.act(pycurl.SOCKET_TIMEOUT, 0)
            elif reader.due is not None:
                wait = min(wait, reader.due - now)
        for key, events in selector.select(wait):
            key.data.act(key.fd, (pycurl.CSELECT_IN if events & selectors.EVENT_READ else 0)
                         | (pycurl.CSELECT_OUT if events & selectors.EVENT_WRITE else 0))


def sha(data: bytes) -> str:
    """SHA-256 as the service worker's list writes it."""
    return base64.b64encode(hashlib.sha256(data).digest()).decode()


def unpacked(body: bytes) -> bytes:
    """The content of a body that was sent compressed."""
    return gzip.decompress(body) if body.startswith(b"\x1f\x8b") else brotli.decompress(body)


def fault_of(fetched: Fetched, wanted: str, known: dict[tuple[str, bytes], bool]) -> str:
    """What is wrong with a fetched file.

    Nothing if every byte is right. `known` spares unpacking the same bytes again.
    """
    if fetched.error or fetched.status != 200:
        return f"{fetched.path}: {fetched.error or fetched.status}"
    body = fetched.body.getvalue()
    key = (fetched.path, hashlib.sha256(body).digest())
    if key not in known:
        try:
            known[key] = base64.b64encode(key[1]).decode() == wanted or sha(unpacked(body)) == wanted
        except (brotli.error, OSError, EOFError, zlib.error):
            known[key] = False
    return "" if known[key] else f"{fetched.path}: not the listed content ({len(body)} bytes)"


def main() -> int:
    address, count = sys.argv[1], int(sys.argv[2])
    rows = dict(json.loads(sys.stdin.readline()))
    allow_many_connections()
    selector = selectors.DefaultSelector()
    readers = [Reader(address, list(rows), selector) for _ in range(count)]
    print("ready", flush=True)
    sys.stdin.readline()
    before = time.process_time()
    run(readers, selector)
    cpu = time.process_time() - before
    print("done", flush=True)
    known: dict[tuple[str, bytes], bool] = {}
    files = [each for reader in readers for each in reader.fetched]
    faults = [fault for each in files if (fault := fault_of(each, rows[each.path], known))]
    size = sum(each.body.getbuffer().nbytes for each in files)
    print(json.dumps({"complete": len(files) - len(faults), "faults": faults, "bytes": size, "cpu": cpu}), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
