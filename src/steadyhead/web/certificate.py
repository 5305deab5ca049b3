"""A certificate of our own for one address, so that a phone's browser lets a page use its microphone."""

import ipaddress
import os
import time
from datetime import UTC, datetime
from pathlib import Path

LASTS_S = 2_592_000.0
CLOCKS_APART_S = 300.0
"""How far the phone's clock may lag behind ours."""


def certificate_for(folder: Path, address: str) -> tuple[Path, Path, str]:
    """Write a new key and self-made certificate for `address`, and return their paths and the SHA-256 to compare.

    The key is readable by its owner only. Raises: OSError.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "steadyhead at the field")])
    now_s = time.time()
    begin, end = (datetime.fromtimestamp(sum((now_s, far)), UTC) for far in (-CLOCKS_APART_S, LASTS_S))
    names = [x509.IPAddress(ipaddress.ip_address(address)), x509.DNSName("localhost")]
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begin)
        .not_valid_after(end)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    folder.mkdir(parents=True, exist_ok=True)
    key_path, certificate_path = folder.joinpath("field-key.pem"), folder.joinpath("field-certificate.pem")
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    key_path.unlink(missing_ok=True)
    handle = os.open(key_path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(secret)
    certificate_path.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    return key_path, certificate_path, made.fingerprint(hashes.SHA256()).hex(":").upper()
