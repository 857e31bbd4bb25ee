"""Copies of the books put into one encrypted file, and taken out again.

GnuPG does the encrypting (OpenPGP, RFC 9580, AES-256 from a passphrase), so that a copy can be opened years
from now without this app: `gpg --decrypt FILE | tar x`.
"""

import shutil
import subprocess
import tarfile
import tempfile
from pathlib import Path

SEALED = ".tar.gpg"


class SealError(Exception):
    """A copy could not be sealed or opened; says why."""


def seal(folder: Path, *, passphrase: Path) -> Path:
    """Put a folder into one encrypted file beside it; the folder goes."""
    target = folder.with_name(folder.name + SEALED)
    with tempfile.TemporaryDirectory(dir=folder.parent) as scratch:
        packed = Path(scratch) / "copy.tar"
        with tarfile.open(packed, "w") as archive:
            archive.add(folder, arcname=folder.name)
        _gpg(passphrase, "--symmetric", "--cipher-algo", "AES256", "--output", str(target), str(packed))
    target.chmod(0o600)
    shutil.rmtree(folder)
    return target


def unseal(file: Path, into: Path, *, passphrase: Path) -> Path:
    """Open a sealed copy into a folder; where the copy lies then."""
    packed = into / "copy.tar"
    _gpg(passphrase, "--output", str(packed), "--decrypt", str(file))
    with tarfile.open(packed) as archive:
        archive.extractall(into, filter="data")
    packed.unlink()
    return into / file.name.removesuffix(SEALED)


def _gpg(passphrase: Path, *arguments: str) -> None:
    if shutil.which("gpg") is None:
        raise SealError("gpg was not found: install GnuPG, or leave BACKUP_PASSPHRASE_FILE empty.")
    if not passphrase.is_file():
        raise SealError("Set BACKUP_PASSPHRASE_FILE to a file that holds the passphrase of the copies.")
    with tempfile.TemporaryDirectory() as home:  # its own key ring, so that nobody's settings count
        done = subprocess.run(
            [
                *("gpg", "--homedir", home, "--batch", "--yes", "--quiet", "--pinentry-mode", "loopback"),
                *("--passphrase-file", str(passphrase), *arguments),
            ],
            capture_output=True,
            text=True,
            check=False,
        )
    if done.returncode:
        why = done.stderr.strip().splitlines()[-1] if done.stderr.strip() else f"status {done.returncode}"
        raise SealError(f"gpg could not read or write the copy: {why}. Is it the right passphrase?")
