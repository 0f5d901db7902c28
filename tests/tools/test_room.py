"""A guide served to a room: found by number, name and code on a network that leads nowhere else; ports and keys."""

from __future__ import annotations

import datetime
import json
import shutil
import socket
import stat
import subprocess
import sys
import types

import pytest
import zxingcpp
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from PIL import Image

from tools.check.debian import Part
from tools.common import ROOT, Trouble
from tools.serve import certificate, room, server

IP = Part("ip to make a network with", lambda: shutil.which("ip", path="/usr/sbin:/sbin:/usr/bin:/bin"), ("iproute2",))
ADDRESS = "10.77.0.1"
NOW = datetime.datetime(2026, 3, 2, 8, tzinfo=datetime.UTC)

# Runs in a network of its own that has one card and no way out, as a classroom hotspot has.
IN_THE_ROOM = r"""
import http.client, json, socket, subprocess, sys, zeroconf
serve = subprocess.Popen([sys.executable, "-m", "tools.serve.server", *sys.argv[2:]], stdout=subprocess.PIPE,
                         stderr=subprocess.STDOUT, text=True, encoding="utf-8")
told = []
for line in serve.stdout:
    told.append(line)
    if "stop with Ctrl+C)" in line:
        break
def get(host, path):
    link = http.client.HTTPConnection(host, 8000, timeout=60)
    link.request("GET", path)
    answer = link.getresponse()
    return answer.status, answer.read().decode("utf-8", "replace")
with_name = zeroconf.Zeroconf(interfaces=[sys.argv[1]])
info = zeroconf.AddressResolver("plate-guide.local.")
info.request(with_name, 20_000)
with_name.close()
status, page = get(sys.argv[1], "/join")
print(json.dumps({"told": "".join(told), "status": status, "page": page, "start": get(sys.argv[1], "/")[0],
                  "named": info.parsed_addresses()}))
serve.terminate()
"""


def in_a_room(*arguments: str) -> dict:
    """What a served guide says and answers in a network of its own. Skips where none can be made."""
    ip = IP.get()
    if not ip or not shutil.which("unshare"):
        pytest.skip(IP.missing)
    made = (f"{ip} link set lo up multicast on && {ip} addr add {ADDRESS}/24 dev lo && "
            f"{ip} route add 224.0.0.0/4 dev lo && exec \"$0\" \"$@\"")
    probe = subprocess.run(["unshare", "--net", "sh", "-c", made, "true"], capture_output=True, text=True, check=False)
    if probe.returncode:
        pytest.skip(f"no network of its own can be made here: {probe.stderr.strip()}")
    done = subprocess.run(
        ["unshare", "--net", "sh", "-c", made, sys.executable, "-c", IN_THE_ROOM, ADDRESS, *arguments],
        capture_output=True, text=True, encoding="utf-8", check=False, cwd=ROOT, timeout=600,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_a_network_without_a_way_out_is_served_by_number_and_by_name(site):
    found = in_a_room("--host", "0.0.0.0")
    assert f"The guide is at http://{ADDRESS}:8000/" in found["told"]
    assert "http://plate-guide.local:8000/" in found["told"]
    assert found["start"] == found["status"] == 200
    assert found["named"] == [ADDRESS]
    for words in (f"http://{ADDRESS}:8000/", "http://plate-guide.local:8000/", "nothing is lost"):
        assert words in found["page"]


def as_read_by_a_camera(text: str) -> str:
    """What a reader of codes makes of the half blocks of a terminal, light letters on a dark ground."""
    rows = [line for line in text.splitlines() if line]
    width = max(map(len, rows))
    image = Image.new("L", (width, 2 * len(rows)))
    for y, row in enumerate(rows):
        for x, character in enumerate(row):
            upper, lower = {"█": (255, 255), "▀": (255, 0), "▄": (0, 255)}.get(character, (0, 0))
            image.putpixel((x, 2 * y), upper)
            image.putpixel((x, 2 * y + 1), lower)
    large = image.resize((8 * image.width, 8 * image.height), Image.Resampling.NEAREST)
    return zxingcpp.read_barcodes(large)[0].text


def test_the_code_in_the_terminal_leads_to_the_first_address():
    shown = room.Room([room.Place("192.168.4.1", "wifi"), room.Place("10.0.0.9", "cable")], 8000, "/guide")
    assert as_read_by_a_camera(room.qr_lines(shown.numbers[0])) == "http://192.168.4.1:8000/guide/"
    for words in ("http://192.168.4.1:8000/guide/", "by cable, at http://10.0.0.9:8000/guide/", "/guide/join"):
        assert words in shown.lines()


def test_without_a_network_it_says_so_and_without_a_name_why():
    assert "on no network" in room.Room([], 8000).lines()
    told = room.Room([room.Place("192.168.4.1", "wifi")], 8000, unnamed="another computer here serves a guide")
    assert "plate-guide.local does not work: another computer here serves a guide." in told.lines()
    assert "plate-guide.local" not in told.page()


def cards(*addresses: str):
    return [types.SimpleNamespace(
        nice_name=f"card {at}", ips=[types.SimpleNamespace(ip=address, is_IPv4=":" not in address)]
    ) for at, address in enumerate(addresses)]


def test_private_networks_come_first_and_what_a_card_gave_itself_last(monkeypatch):
    given = cards("127.0.0.1", "169.254.7.7", "fe80::1", "11.0.0.9", "192.168.4.1")
    monkeypatch.setattr(room.ifaddr, "get_adapters", lambda: given)
    assert [place.address for place in room.places()] == ["192.168.4.1", "11.0.0.9", "169.254.7.7"]
    assert [place.address for place in room.places("11.0.0.9")] == ["11.0.0.9"]


def test_a_room_keeps_to_its_port_and_is_told_when_it_is_taken():
    with socket.socket() as taken:
        taken.bind(("0.0.0.0", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(Trouble, match=f"port {port} can't be used"):
            server.open_socket("0.0.0.0", port)


def test_taken_default_port_is_not_dodged_for_a_class(monkeypatch):
    with socket.socket() as taken:
        taken.bind(("0.0.0.0", 0))
        taken.listen()
        monkeypatch.setattr(server, "DEFAULT_PORT", taken.getsockname()[1])
        with pytest.raises(Trouble, match="running in another window"):
            server.open_socket("0.0.0.0", None)
        with server.open_socket("127.0.0.1", None) as other:
            assert other.getsockname()[1] != server.DEFAULT_PORT


def test_https_is_refused_where_it_changes_nothing():
    with pytest.raises(Trouble, match="--https is for a network"):
        server.main(["--https"])


@pytest.fixture
def own(tmp_path):
    return certificate.kept(tmp_path / "https", room.NAME, ["192.168.4.1"], NOW)


def test_what_a_phone_trusts_can_sign_for_this_guide_alone(own):
    authority = own.trusted()
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    assert [str(each.value) for each in limits.value.permitted_subtrees] == [room.NAME, "192.168.4.1/32"]
    served = x509.load_pem_x509_certificates(own.chain.read_bytes())[0]
    served.verify_directly_issued_by(authority)
    assert own.fingerprint.replace(":", "").lower() == authority.fingerprint(hashes.SHA256()).hex()
    assert not list(own.folder.glob("*authority*key*"))
    assert {path.name for path in own.folder.iterdir()} == {"certificate.pem", "key.pem", "plate-guide.crt"}


@pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps no such permissions")
def test_the_key_is_for_the_owner_alone(own):
    assert stat.S_IMODE(own.key.stat().st_mode) == 0o600


def test_a_certificate_stays_until_a_week_before_its_end(own):
    folder, first = own.folder, own.fingerprint
    later = NOW + datetime.timedelta(days=certificate.DAYS - 8)
    assert certificate.kept(folder, room.NAME, ["10.0.0.9"], later).fingerprint == first
    assert certificate.kept(folder, room.NAME, ["10.0.0.9"], later + datetime.timedelta(days=2)).fingerprint != first
