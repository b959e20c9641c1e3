"""An authority of one's own and the broker's certificate, for boards and host that trust nothing else.

Elliptic curve P-256 throughout: a board has little memory for more. Certificates begin in the year 2000, because a
board begins without a clock (an RP2040 in 2021, an ESP32 in 2000) and would take one of today for one of the future.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
from dataclasses import dataclass
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

BROKER_NAME = "emberdraft-broker"  # what a board expects in the certificate, whatever the address is
BEGIN = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
LAST_YEARS = 20


@dataclass(frozen=True)
class Pair:
    """A certificate with its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def pem(self) -> bytes:
        """The certificate as PEM."""
        return self.certificate.public_bytes(serialization.Encoding.PEM)

    @property
    def der(self) -> bytes:
        """The certificate as DER, which is what MicroPython takes."""
        return self.certificate.public_bytes(serialization.Encoding.DER)

    @property
    def key_pem(self) -> bytes:
        """The key as PEM, not encrypted: the file's mode protects it."""
        return self.key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )


def make_authority() -> Pair:
    """A new authority, good for nothing but brokers of this household."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = _name("Emberdraft authority of this household")
    builder = _builder(name, name, key, _years(LAST_YEARS)).add_extension(x509.BasicConstraints(True, 0), True)
    return Pair(builder.sign(key, hashes.SHA256()), key)


def make_broker(authority: Pair, address: str, end: dt.datetime | None = None, name: str = BROKER_NAME) -> Pair:
    """The broker's certificate, for `name` and its numeric address."""
    key = ec.generate_private_key(ec.SECP256R1())
    names = [x509.DNSName(name), x509.IPAddress(ipaddress.ip_address(address))]
    builder = (
        _builder(_name(name), authority.certificate.subject, key, end or _years(LAST_YEARS))
        .add_extension(x509.BasicConstraints(False, None), True)
        .add_extension(x509.SubjectAlternativeName(names), False)
        .add_extension(x509.ExtendedKeyUsage([x509.oid.ExtendedKeyUsageOID.SERVER_AUTH]), False)
    )
    return Pair(builder.sign(authority.key, hashes.SHA256()), key)


def _years(count: int) -> dt.datetime:
    return dt.datetime.now(dt.UTC) + dt.timedelta(days=365 * count)


def _name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _builder(subject: x509.Name, issuer: x509.Name, key: Any, end: dt.datetime) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(BEGIN)
        .not_valid_after(end)
    )
