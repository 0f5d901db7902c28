"""A guide served to a room: the addresses it has there, a name that stays the same, a QR code, and a page to project.

What a phone keeps (a test, records, progress) it keeps for the address that it was opened at. So the name matters: an
address can change from one day to the next, `NAME` does not. Multicast DNS (RFC 6762) carries it, and most phones and
computers ask that way; the number stands beside it for those that don't.
"""

from __future__ import annotations

import contextlib
import ipaddress
import io
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

import ifaddr
import segno
import zeroconf

from calc.plate_test.qr import qr_svg

NAME = "plate-guide.local"
SERVICE = "_http._tcp.local."
JOIN = "/join"
"""Path of the page for the projector, below the guide's own path."""


@dataclass(frozen=True)
class Place:
    """An address of this computer, and the network card that has it."""

    address: str
    card: str

    @property
    def number(self) -> ipaddress.IPv4Address:
        return ipaddress.IPv4Address(self.address)


def places(host: str = "0.0.0.0") -> list[Place]:
    """The IPv4 addresses at which others reach this computer, the likeliest first: private networks, then the rest,
    then those that a card gave itself (169.254…, RFC 3927) because nobody gave it one. No network needs a way out: a
    classroom hotspot has none. With one address given it is that one alone."""
    found = [
        Place(str(each.ip), card.nice_name)
        for card in ifaddr.get_adapters()
        for each in card.ips
        if each.is_IPv4 and not ipaddress.IPv4Address(each.ip).is_loopback
    ]
    if host not in {"0.0.0.0", "::"}:
        return [place for place in found if place.address == host] or [Place(host, "")]
    return sorted(found, key=lambda place: (place.number.is_link_local, not place.number.is_private))


@contextlib.contextmanager
def named(where: list[Place], port: int, path: str = "/") -> Iterator[str]:
    """Answers for `NAME` on these networks while the guide is served. Gives "" when it does, or why it doesn't."""
    if not where:
        yield "this computer is on no network"
        return
    service = zeroconf.ServiceInfo(
        SERVICE, f"{NAME.split('.')[0]}.{SERVICE}", port=port, properties={"path": path}, server=f"{NAME}.",
        parsed_addresses=[place.address for place in where],
    )
    try:
        network = zeroconf.Zeroconf(interfaces=[place.address for place in where])
    except OSError as error:
        yield f"the network does not take multicast: {error.strerror or error}"
        return
    with contextlib.closing(network):
        try:
            network.register_service(service)
        except zeroconf.NonUniqueNameException:
            yield "another computer here serves a guide under this name"
            return
        except (OSError, zeroconf.Error) as error:
            yield f"the network refused it: {error}"
            return
        yield ""
        network.unregister_service(service)


def qr_lines(address: str) -> str:
    """An address as a QR code for the terminal, half a character a square."""
    text = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(text, compact=True)
    return text.getvalue()


@dataclass(frozen=True)
class Room:
    """Where a class finds the guide: what the terminal and the page for the projector tell."""

    where: list[Place]
    port: int
    base: str = ""
    unnamed: str = ""
    """Why the name does not work here; "" where it does."""
    secure_port: int | None = None
    fingerprint: str = ""
    certificate: str = ""
    """Path of the certificate to trust, below the guide's own path."""

    def address(self, host: str) -> str:
        shown = f"[{host}]" if ":" in host else host
        return f"http://{shown}:{self.port}{self.base}/"

    def secure_address(self, host: str) -> str:
        return f"https://{host}:{self.secure_port}{self.base}/"

    @property
    def numbers(self) -> list[str]:
        return [self.address(place.address) for place in self.where]

    def lines(self) -> str:
        """What the terminal shows."""
        if not self.where:
            return (
                "This computer is on no network, so nobody else can open the guide. Join the classroom's network or\n"
                f"turn on a hotspot, and start again. On this computer: {self.address('127.0.0.1')}"
            )
        told = [qr_lines(self.numbers[0]), f"The guide is at {self.numbers[0]}"]
        told += [f"   or, by {place.card}, at {self.address(place.address)}" for place in self.where[1:]]
        told.append(
            f"   and, while its name works here, at {self.address(NAME)}" if not self.unnamed
            else f"   The name {NAME} does not work: {self.unnamed}."
        )
        if self.secure_port:
            told.append(f"   Over https, once the certificate is trusted: {self.secure_address(NAME)}")
            told.append(f"   SHA-256 of the certificate: {self.fingerprint}")
        told.append(f"Page for the projector: {self.numbers[0].rstrip('/')}{JOIN}   (stop with Ctrl+C)")
        return "\n".join(told)

    def page(self) -> str:
        """The page for the projector: addresses in letters to read from the back row, and their codes."""
        ways = [] if self.unnamed else [("By name", self.address(NAME))]
        ways += [("By number", number) for number in self.numbers[:3]]
        blocks = "".join(
            f'<section style="flex: 1 1 18rem"><h2 style="font-size: 1.6rem">{escape(words)}</h2>'
            f'<div style="max-width: 18rem; background: #fff">{_wide(qr_svg(address, "Address of the guide"))}</div>'
            f'<p style="font-size: 1.8rem; overflow-wrap: anywhere"><a href="{escape(address)}">{escape(address)}</a>'
            "</p></section>"
            for words, address in ways
        )
        which = (
            "The number leads to the guide today. Your instructor's computer may have another number next time."
            if self.unnamed
            else "Try the name first, and keep to it: it stays the same when the number changes."
        )
        secure = f"<h2>To keep the guide on your phone</h2>{self._secure()}" if self.secure_port else ""
        return (
            '<!doctype html><html lang="en"><head><meta charset="utf-8">'
            '<meta name="viewport" content="width=device-width, initial-scale=1"><title>Open the guide</title></head>'
            '<body style="font: 1.25rem/1.4 sans-serif; margin: 1.5rem; color: #111; background: #fff">'
            "<h1>Open the guide</h1><p>Join the same network as this computer. Then point your camera at a code, or "
            f"type an address.</p><main><div style=\"display: flex; flex-wrap: wrap; gap: 2rem\">{blocks}</div>"
            f"<h2>What you keep stays at its address</h2><p>{which} Your test, your records and your progress stay in "
            "your own browser, under the address that you opened. Under another address the same browser shows none of "
            "them: nothing is lost, it is kept under the old one. To carry it over, open the old address and save your "
            "files, then open them at the new one. If the old address no longer answers, your instructor can serve the "
            f"guide there once more.</p>{secure}</main></body></html>"
        )

    def _secure(self) -> str:
        """What https brings, and what it asks for, told plainly."""
        return (
            "<p>Over plain http a phone forgets the guide when this computer is gone: browsers keep a guide for use "
            "without a network only over https, and only if they trust its certificate. The certificate of this "
            "computer is its own, and no phone knows it. You can go without: everything else works over http, and the "
            "packed zip works without any network.</p>"
            f'<ol><li>Open <a href="{escape(self.certificate)}">the certificate</a> on the phone and install it as a '
            "certificate authority (CA). The phone warns you, and it may ask for its screen lock. Some phones ask you "
            "to switch trust on in a second place.</li>"
            f"<li>Compare its SHA-256 fingerprint: <code style=\"overflow-wrap: anywhere\">{escape(self.fingerprint)}"
            "</code>. If it differs, take it off again.</li>"
            f'<li>Open <a href="{escape(self.secure_address(NAME))}">{escape(self.secure_address(NAME))}</a> and wait '
            "until the page says that the guide is saved.</li><li>After the course, remove the certificate. It is good "
            "for this guide's name and for this computer's addresses only, and the key that signed it is gone.</li>"
            "</ol>"
        )


def _wide(svg: str) -> str:
    """The drawing as wide as its place, and not as on paper."""
    return svg.replace("<svg ", '<svg style="width: 100%; height: auto" ', 1)
