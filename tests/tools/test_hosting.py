"""What a reader's browser relies on, asked of our own server and of nginx with the configuration of docs/hosting.md."""

from __future__ import annotations

import fnmatch
import gzip
import http.client
import os
import re
import socket
import ssl
import subprocess

import brotli
import pytest

from tests.tools.hosts import ask, table
from tools.build import policy
from tools.check import test_parts
from tools.common import Trouble
from tools.serve import nginx, server


def with_nginx() -> None:
    """Skip where nginx is not to be had."""
    try:
        nginx.find_or_install()
    except Trouble as trouble:
        pytest.skip(f"the configuration of docs/hosting.md was not run: {trouble}")


@pytest.fixture(scope="module", params=["own", "nginx", "nginx with brotli"])
def host(request, site):
    """A running server that has a port: ours, and nginx where it is installed."""
    if request.param == "own":
        with server.Running(site) as running:
            yield running
        return
    with_nginx()
    if "brotli" in request.param and not nginx.BROTLI_MODULE.exists():
        pytest.skip("nginx's brotli module is not installed")
    with nginx.Nginx(site, brotli="brotli" in request.param) as running:
        yield running


@pytest.fixture
def own(site):
    with server.Running(site) as running:
        yield running


def plain_files(site) -> list[str]:
    """Every path of the site but the compressed copies."""
    found = (path for path in site.rglob("*") if path.is_file() and path.suffix not in {".br", ".gz"})
    return sorted(path.relative_to(site).as_posix() for path in found)


@pytest.mark.parametrize("path", ["/", "/assets/engine/engine.js", "/nothing-here.html", "/sw.js", "/assets/"])
def test_every_response_carries_the_policy(host, path):
    _, headers, _ = ask(host.port, path)
    for name, value in policy.HEADERS.items():
        assert headers[name] == value


def test_refusals_carry_the_policy_too(host):
    status, headers, _ = ask(host.port, "/index.html", "POST")
    assert status == 405
    assert headers["Content-Security-Policy"] == policy.CONTENT_SECURITY_POLICY


def test_broken_requests_are_refused_with_the_policy(host):
    with socket.create_connection(("127.0.0.1", host.port), timeout=300) as link:
        link.sendall(b"not http at all\r\n\r\n")
        said = link.makefile("rb").read()
    assert b" 400 " in said.splitlines()[0]
    assert f"content-security-policy: {policy.CONTENT_SECURITY_POLICY}".lower().encode() in said.lower()


def test_every_file_has_its_type_and_lasts_as_its_name_says(host, site):
    for path in plain_files(site):
        status, headers, _ = ask(host.port, f"/{path}", "HEAD")
        assert status == 200, path
        assert headers["Content-Type"].split(";")[0] == server.media_type(path), path
        assert headers["Cache-Control"] == server.cache_control(path), path


def test_types_that_browsers_insist_on(host, engine):
    names = {"pyodide.asm.wasm": "application/wasm", "pyodide.mjs": "text/javascript", "library.zip": "application/zip"}
    for name, kind in names.items():
        _, headers, _ = ask(host.port, f"/{engine.folder}/{name}")
        assert headers["Content-Type"].split(";")[0] == kind


def test_hashed_names_last_and_pages_are_asked_for_again(host, engine):
    for lasting in (f"/{engine.folder}/library.zip", f"/assets/engine/{engine.calc.name}"):
        assert "immutable" in ask(host.port, lasting)[1]["Cache-Control"]
    for changing in ("/index.html", "/", "/sw.js", "/assets/engine/calc-source.zip", "/assets/core.js", "/moved.html"):
        assert ask(host.port, changing)[1]["Cache-Control"] == "no-cache"


@pytest.mark.parametrize("accept", ["gzip, deflate, br", "gzip, deflate", "gzip", "identity"])
def test_the_body_is_what_its_encoding_says(host, site, accept):
    status, headers, body = ask(host.port, "/assets/engine/engine.js", Accept_Encoding=accept)
    encoding = headers["Content-Encoding"]
    unpack = {"br": brotli.decompress, "gzip": gzip.decompress, None: bytes}[encoding]
    assert (status, unpack(body)) == (200, (site / "assets/engine/engine.js").read_bytes())
    assert encoding is None or encoding in accept
    assert (encoding is None) == (accept == "identity"), "a browser that takes gzip gets a compressed copy"
    assert headers["Vary"] == "Accept-Encoding"


@pytest.mark.parametrize("accept", ["br, gzip", "gzip", "identity"])
def test_unchanged_page_is_not_sent_again(host, accept):
    _, headers, _ = ask(host.port, "/index.html", Accept_Encoding=accept)
    status, _, body = ask(host.port, "/index.html", Accept_Encoding=accept, If_None_Match=headers["ETag"])
    assert (status, body) == (304, b"")
    status, _, _ = ask(host.port, "/index.html", Accept_Encoding=accept, If_None_Match='"another"')
    assert status == 200
    status, _, _ = ask(host.port, "/index.html", Accept_Encoding=accept, If_Modified_Since=headers["Last-Modified"])
    assert status == 304


def test_each_encoding_has_its_own_tag(host):
    tags = {accept: ask(host.port, "/index.html", Accept_Encoding=accept)[1]["ETag"] for accept in ("gzip", "identity")}
    assert len(set(tags.values())) == 2


@pytest.mark.parametrize(
    ("asked", "part"), [("bytes=0-14", slice(15)), ("bytes=20-", slice(20, None)), ("bytes=-9", slice(-9, None))]
)
def test_part_of_a_file_can_be_asked_for(host, site, asked, part):
    whole = (site / "index.html").read_bytes()
    status, headers, body = ask(host.port, "/index.html", Range=asked)
    assert (status, body) == (206, whole[part])
    start = range(len(whole))[part].start
    assert headers["Content-Range"] == f"bytes {start}-{start + len(body) - 1}/{len(whole)}"
    tag = headers["ETag"]
    assert ask(host.port, "/index.html", Range=asked, If_Range=tag)[0] == 206
    assert ask(host.port, "/index.html", Range=asked, If_Range='"another"')[::2] == (200, whole)


def test_part_behind_the_end_is_refused(host, site):
    size = (site / "index.html").stat().st_size
    status, headers, _ = ask(host.port, "/index.html", Range=f"bytes={size}-")
    assert (status, headers["Content-Range"]) == (416, f"bytes */{size}")


def test_head_says_the_same_without_a_body(host, site):
    status, headers, body = ask(host.port, "/groove.html", "HEAD")
    assert (status, body) == (200, b"")
    assert int(headers["Content-Length"]) == (site / "groove.html").stat().st_size


@pytest.mark.parametrize("path", ["/", "/index.html", "/index.html?thickness=3%2F8", "/%69ndex.html"])
def test_the_first_page_is_found(host, site, path):
    assert ask(host.port, path)[::2] == (200, (site / "index.html").read_bytes())


@pytest.mark.parametrize("path", ["/moved-away.html", "/assets/", "/index.html/more", "/INDEX", "/a%00b"])
def test_what_is_missing_is_told_on_the_guides_own_page(host, site, path):
    status, headers, body = ask(host.port, path)
    if status == 400:  # nginx refuses a null byte outright
        assert "%00" in path
        return
    assert (status, body) == (404, (site / "404.html").read_bytes())
    assert headers["Content-Type"].startswith("text/html")


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml", "/%2e%2e/pyproject.toml", "/assets/..%2f..%2fpyproject.toml",
        "/assets/../../pyproject.toml", "/..%5cpyproject.toml", "//etc/passwd", "/%2fetc/passwd",
    ],
)
def test_nothing_outside_the_site_is_served(host, path):
    status, _, body = ask(host.port, path)
    assert status in {400, 404}
    assert b"[project]" not in body and b"root:" not in body


def test_many_requests_on_one_connection_are_answered_in_order(host, site):
    """Sent all at once, before any answer, large ones among them."""
    names = ["index.html", "assets/engine/calc-source.zip", "sw.js", "planning.html", "nothing", "assets/guide.css"] * 5
    with socket.create_connection(("127.0.0.1", host.port), timeout=300) as link:
        link.sendall(b"".join(f"GET /{name} HTTP/1.1\r\nHost: x\r\n\r\n".encode() for name in names))
        link.sendall(b"GET /index.html HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        stream = link.makefile("rb")
        for name in [*names, "index.html"]:
            status = int(stream.readline().split()[1])
            headers = dict(
                line.decode().lower().split(": ", 1) for line in iter(lambda: stream.readline().strip(), b"")
            )
            body = stream.read(int(headers["content-length"]))
            wanted = "404.html" if name == "nothing" else name
            assert (status, body) == (404 if name == "nothing" else 200, (site / wanted).read_bytes()), name
        assert stream.read() == b""


# Of our own server alone.

def test_a_refused_encoding_is_not_sent(own):
    assert ask(own.port, "/index.html", Accept_Encoding="br;q=0, gzip")[1]["Content-Encoding"] == "gzip"


def test_a_compressed_copy_has_no_address_of_its_own(own, site):
    assert (site / "index.html.br").is_file()
    assert ask(own.port, "/index.html.br")[::2] == (404, (site / "404.html").read_bytes())


def test_below_a_sub_path(site):
    with server.Running(site, "/shop/guide") as running:
        assert ask(running.port, "/shop/guide/groove.html")[2] == (site / "groove.html").read_bytes()
        for path in ("/", "/shop/guide"):
            status, headers, _ = ask(running.port, path)
            assert (status, headers["Location"]) == (307, "/shop/guide/")
        for path in ("/groove.html", "/shop/guidegroove.html", "/shop/guide/../groove.html"):
            assert ask(running.port, path)[0] == 404


def test_old_http_and_requests_with_a_body_are_answered(own, site):
    page = (site / "index.html").read_bytes()
    for words in (
        b"GET / HTTP/1.0\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 3\r\n\r\nabc",
    ):
        with socket.create_connection(("127.0.0.1", own.port), timeout=300) as link:
            link.sendall(words)
            head, _, body = link.makefile("rb").read().partition(b"\r\n\r\n")
            assert b" 200 " in head.splitlines()[0] and body == page
            assert f"content-security-policy: {policy.CONTENT_SECURITY_POLICY}".lower().encode() in head.lower()


def test_a_changed_file_is_served_anew_and_a_removed_one_is_gone(tmp_path):
    page = tmp_path / "index.html"
    page.write_bytes(b"one")
    with server.Running(tmp_path) as running:
        assert ask(running.port, "/")[::2] == (200, b"one")
        page.write_bytes(b"the second")
        assert ask(running.port, "/")[::2] == (200, b"the second")
        page.unlink()
        assert ask(running.port, "/")[0] == 404


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_link_that_leads_out_of_the_site_is_not_followed(tmp_path):
    (tmp_path / "secret.txt").write_text("secret")
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "out.txt").symlink_to(tmp_path / "secret.txt")
    with server.Running(folder) as running:
        assert ask(running.port, "/out.txt")[0] == 404


# What the page says.

def test_the_configuration_sends_exactly_the_policy():
    said = dict(re.findall(r'^\s*add_header (\S+) "([^"]*)" always;$', nginx.documented()[0], re.MULTILINE))
    assert said == policy.HEADERS


def test_with_the_lines_for_https_a_page_comes_encrypted(site, tmp_path):
    with_nginx()
    openssl = test_parts.OPENSSL.get()
    if not openssl:
        pytest.skip(test_parts.OPENSSL.missing)
    certificate, key = tmp_path / "own.pem", tmp_path / "own.key"
    made = subprocess.run(
        [
            openssl, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days",
            "2", "-subj", "/CN=shop", "-addext", f"subjectAltName=IP:{nginx.HOST}", "-keyout", key, "-out",
            certificate,
        ],
        capture_output=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    with nginx.Nginx(site, brotli=False, certificate=(certificate, key)) as running:
        link = http.client.HTTPSConnection(
            nginx.HOST, running.port, timeout=300, context=ssl.create_default_context(cafile=str(certificate))
        )
        link.request("GET", "/groove.html")
        answer = link.getresponse()
        assert (answer.status, answer.read()) == (200, (site / "groove.html").read_bytes())
        assert answer.headers["Content-Security-Policy"] == policy.CONTENT_SECURITY_POLICY
        link.close()


def test_the_table_for_content_networks_is_exactly_the_policy():
    assert dict(table("hosting-policy")) == policy.HEADERS


def first_fit(path: str, rows: list[list[str]]) -> str | None:
    return next((value for pattern, value in rows if fnmatch.fnmatchcase(path, pattern)), None)


def test_the_tables_for_file_stores_say_of_every_file_what_our_server_says(site):
    types, caching = table("hosting-types"), table("hosting-cache")
    for path in plain_files(site):
        assert first_fit(path, types) == server.content_type(path), path
        assert first_fit(path, caching) == server.cache_control(path), path
