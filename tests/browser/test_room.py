"""What a phone's browser does with the guide of a classroom: kept for use without a network only where it trusts the
certificate. Phones with the same browser engine go by the same rule (Secure Contexts, W3C)."""

from __future__ import annotations

import datetime
import os
import shutil
import subprocess
import threading

import pytest
from playwright.sync_api import Error, expect

from tools.check.debian import Part
from tools.serve import certificate, room, server

CERTUTIL = Part("certutil to trust a certificate with", lambda: shutil.which("certutil"), ("libnss3-tools",))


@pytest.fixture
def secure(site, tmp_path):
    """Address of the guide over https under its name, and the certificate that it shows."""
    own = certificate.kept(tmp_path / "https", room.NAME, ["127.0.0.1"], datetime.datetime.now(datetime.UTC))
    with server.open_socket(server.DEFAULT_HOST, 0) as sock:
        running = server.make_server(
            site, "", log_level="error", patience=1, ssl_certfile=own.chain, ssl_keyfile=own.key
        )
        thread = threading.Thread(target=running.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        yield f"https://{room.NAME}:{sock.getsockname()[1]}/", own, running
        running.should_exit = True
        thread.join(10)


@pytest.fixture
def phone(launching, tmp_path, playwright):
    """Opens a browser that resolves the guide's name, with a store of trusted certificates of its own."""
    given = launching("wide")
    home = tmp_path / "home"
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    opened = []

    def start(trusting: certificate.Certificate | None):
        if trusting:
            database = ["-d", f"sql:{store}"]
            subprocess.run([CERTUTIL.get(), *database, "-N", "--empty-password"], check=True)
            subprocess.run(
                [CERTUTIL.get(), *database, "-A", "-t", "C,,", "-n", "room", "-i", trusting.authority], check=True
            )
        rules = f"--host-resolver-rules=MAP {room.NAME} 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
        args = [*(each for each in given["args"] if not each.startswith("--host-resolver-rules")), rules]
        opened.append(playwright.chromium.launch_persistent_context(
            tmp_path / "profile", executable_path=given["executable_path"], args=args,
            env={**os.environ, **given["env"], "HOME": str(home)},
        ))
        return opened[-1].new_page()

    yield start
    for context in opened:
        context.close()


def test_a_phone_that_trusts_the_certificate_keeps_the_guide(secure, phone):
    if not CERTUTIL.get():
        pytest.skip(CERTUTIL.missing)
    address, own, running = secure
    page = phone(own)
    page.goto(address + "offline.html")
    expect(page.locator("[data-offline-status]")).to_contain_text("Saved.", timeout=120_000)
    running.should_exit = True
    page.context.set_offline(True)
    page.goto(address + "groove.html")
    expect(page.locator("h1").first).to_contain_text("groove")


def test_a_phone_that_does_not_trust_it_refuses_it(secure, phone):
    address, _, _ = secure
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        phone(None).goto(address)


def test_over_plain_http_a_phone_keeps_nothing_and_the_page_says_so(site, phone):
    with server.Running(site) as running:
        page = phone(None)
        page.goto(f"http://{room.NAME}:{running.port}/offline.html")
        expect(page.locator("[data-offline-status]")).to_contain_text("Not saved here")
        assert page.evaluate("() => 'serviceWorker' in navigator") is False
