"""A certificate of this computer's own for a classroom, where no public authority can vouch for an address.

Browsers keep a site for use without a network only over https with a certificate that they trust, so a phone has to be
told to trust one. What it is asked to trust here can do little harm: an authority that may sign for the guide's name
and this computer's addresses only (name constraints, RFC 5280 4.2.1.10), whose key signs one certificate and is then
forgotten; it is never written down.
"""

from __future__ import annotations

import datetime
import ipaddress
import os
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

DAYS = 365
"""Days that it is good for: a school year. Some phones trust none that lasts longer than 398 days."""


@dataclass(frozen=True)
class Certificate:
    """Where the files are that the server needs and the phones trust."""

    folder: Path

    @property
    def chain(self) -> Path:
        return self.folder / "certificate.pem"

    @property
    def key(self) -> Path:
        return self.folder / "key.pem"

    @property
    def authority(self) -> Path:
        """What a phone is asked to trust, in DER as phones take it."""
        return self.folder / "plate-guide.crt"

    def trusted(self) -> x509.Certificate:
        return x509.load_der_x509_certificate(self.authority.read_bytes())

    @property
    def fingerprint(self) -> str:
        """SHA-256 of what is trusted, as phones show it."""
        return self.trusted().fingerprint(hashes.SHA256()).hex(":").upper()

    def good(self, now: datetime.datetime) -> bool:
        """Whether the files are there and hold for a week more."""
        if not all(path.is_file() for path in (self.chain, self.key, self.authority)):
            return False
        return now + datetime.timedelta(days=7) < self.trusted().not_valid_after_utc


def kept(folder: Path, name: str, addresses: list[str], now: datetime.datetime) -> Certificate:
    """The certificate in a folder; made where there is none, or none that holds. One that is there stays, so that no
    phone has to be told twice: under an address that is new since then only the name works over https."""
    found = Certificate(folder)
    if found.good(now):
        return found
    folder.mkdir(parents=True, exist_ok=True)
    authority_key, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    until = now + datetime.timedelta(days=DAYS)
    numbers = [ipaddress.ip_address(each) for each in addresses]
    authority_name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Plate Test Study Guide, classroom")])

    def begun(subject: x509.Name, public) -> x509.CertificateBuilder:
        return (
            x509.CertificateBuilder().subject_name(subject).issuer_name(authority_name).public_key(public)
            .serial_number(x509.random_serial_number()).not_valid_before(now - datetime.timedelta(days=1))
            .not_valid_after(until)
        )

    usage = dict.fromkeys(
        ("content_commitment", "key_encipherment", "data_encipherment", "key_agreement", "encipher_only",
         "decipher_only", "crl_sign"), False,
    )
    allowed = [x509.DNSName(name), *(x509.IPAddress(ipaddress.ip_network(each)) for each in numbers)]
    authority = (
        begun(authority_name, authority_key.public_key())
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.KeyUsage(digital_signature=False, key_cert_sign=True, **usage), critical=True)
        .add_extension(x509.NameConstraints(allowed, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(authority_key.public_key()), critical=False)
        .sign(authority_key, hashes.SHA256())
    )
    own = (
        begun(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)]), key.public_key())
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.KeyUsage(digital_signature=True, key_cert_sign=False, **usage), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.SubjectAlternativeName([x509.DNSName(name), *(x509.IPAddress(each) for each in numbers)]),
            critical=False,
        )
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()), critical=False
        )
        .sign(authority_key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    found.chain.write_bytes(own.public_bytes(pem) + authority.public_bytes(pem))
    found.authority.write_bytes(authority.public_bytes(serialization.Encoding.DER))
    with os.fdopen(os.open(found.key, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(key.private_bytes(
            pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        ))
    return found
