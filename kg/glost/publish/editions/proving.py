"""Whether a copy of an edition is what was published, to the octet."""

import gzip
import subprocess
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from glost.publish.editions.canonical import digest_of
from glost.publish.editions.edition import (
    ABOUT,
    DATASET,
    PATCH,
    SIGNATURE,
    SUMS,
    Edition,
    content_of,
    read_edition,
    sums_of,
)
from glost.publish.editions.patch import PatchError, patched
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import digest

_REMEDY = "fetch the edition again, or bring it back from a copy"
_LARGEST = 1 << 32
_SMALL = 1 << 20
_OF = "glost-edition"
"""What a signature is of, so that one made for something else is none (OpenSSH's SSHSIG)."""


PAGE = "index.html"
"""A page about an edition, which a site puts beside its files: no part of it."""


@dataclass(frozen=True, slots=True)
class CopyProof:
    """What was found of a copy of an edition.

    Attributes
    ----------
    edition
        Which it is; None if that cannot be read.
    held
        What was looked at and is as it should be, in words.
    faults
        What is not, each with the file it is in.
    """

    edition: Edition | None
    held: tuple[str, ...]
    faults: tuple[RecordError, ...]


def prove(folder: Path, signers: Path | None = None) -> CopyProof:
    """Look at every octet of an edition.

    The sums of its files, its statements against the sum its description gives, and, where the
    edition before lies beside it, that it is the one this follows from, and that the patch makes
    the one's statements into the other's.

    Parameters
    ----------
    folder
        The edition's folder.
    signers
        A file of the keys that are trusted, as OpenSSH's ``ssh-keygen -Y verify`` reads it; None
        to leave a signature unlooked at.
    """
    held: list[str] = []
    faults: list[RecordError] = []
    for look in (_files, _statements, _before, lambda place: _signed(place, signers)):
        try:
            held += look(folder)
        except RecordErrors as found:
            faults += found.errors
            if look is _files and not (folder / ABOUT).is_file():
                break
    try:
        edition = read_edition(folder)
    except RecordErrors:
        edition = None
    unique = {(each.file, each.message): each for each in faults}
    return CopyProof(edition, tuple(held), tuple(unique.values()))


def proved_bytes(folder: Path, name: str) -> bytes:
    """Return a file of an edition that is what its sums say.

    Raises
    ------
    RecordErrors
        If it is not.
    """
    content = content_of(folder, name, _LARGEST)
    if sums(folder).get(name) != sha256(content).hexdigest():
        raise _fault(folder / name, f"it is not the file that {SUMS} names")
    return content


def lines(folder: Path) -> list[str]:
    """Return an edition's statements, one a line, as they were written.

    Raises
    ------
    RecordErrors
        If they cannot be unpacked.
    """
    path = folder / DATASET
    try:
        text = gzip.decompress(content_of(folder, DATASET, _LARGEST)).decode()
    except (OSError, EOFError, zlib.error, UnicodeDecodeError) as error:
        raise _fault(path, f"it cannot be unpacked: {error}") from error
    return [f"{line}\n" for line in text.removesuffix("\n").split("\n")]


def sums(folder: Path) -> dict[str, str]:
    """Return the sums of an edition's files, by name.

    Raises
    ------
    RecordErrors
        If the file of sums cannot be read.
    """
    path = folder / SUMS
    text = content_of(folder, SUMS, _SMALL).decode(errors="replace")
    rows = [row.partition("  ") for row in text.splitlines()]
    if any(len(sum_) != 64 or not name for sum_, _, name in rows):
        raise _fault(path, "a row of it is no sum and name of a file")
    return {name: sum_ for sum_, _, name in rows}


def _fault(path: Path, problem: str) -> RecordErrors:
    return RecordErrors([RecordError(str(path), problem, _REMEDY)])


def _files(folder: Path) -> Iterator[str]:
    told = sums(folder)
    if content_of(folder, SUMS, _SMALL) != sums_of(told.items()).encode():
        raise _fault(folder / SUMS, "it is not written as sums are")
    there = {path.name for path in folder.iterdir()} - {SUMS, SIGNATURE, PAGE}
    faults = [
        *(_fault(folder / name, f"{SUMS} names it, and it is not there")
          for name in sorted(set(told) - there)),
        *(_fault(folder / name, f"{SUMS} does not name it") for name in sorted(there - set(told))),
        *(_fault(folder / name, f"it is not the file that {SUMS} names")
          for name in sorted(there & set(told)) if digest(folder / name) != told[name]),
    ]  # fmt: skip
    if faults:
        raise RecordErrors([error for each in faults for error in each.errors])
    yield f"{len(told)} files are what {SUMS} says"


def _statements(folder: Path) -> Iterator[str]:
    edition, found = read_edition(folder), lines(folder)
    if digest_of(found) != edition.digest or len(found) != edition.statements:
        raise _fault(folder / DATASET, f"its statements are not those that {ABOUT} describes")
    yield f"{edition.statements:,} statements have the sum {edition.digest}"


def _before(folder: Path) -> Iterator[str]:
    edition = read_edition(folder)
    if not edition.previous:
        return
    before = folder.parent / edition.previous
    if not before.is_dir():
        yield f"the edition before, {edition.previous}, is not beside it and was not looked at"
        return
    if digest(before / SUMS) != edition.previous_sums:
        raise _fault(before / SUMS, f"it is not the edition that {edition.name} follows")
    text = content_of(folder, PATCH, _LARGEST).decode(errors="replace")
    try:
        given = patched(lines(before), text)
    except PatchError as error:
        raise _fault(folder / PATCH, str(error)) from error
    if given != lines(folder):
        raise _fault(folder / PATCH, f"it does not make {edition.previous} into {edition.name}")
    yield f"{edition.previous} with {PATCH} gives just these statements"


def _signed(folder: Path, signers: Path | None) -> Iterator[str]:
    if not (folder / SIGNATURE).is_file():
        if signers is not None:
            raise _fault(folder / SIGNATURE, "the edition is not signed")
        return
    if signers is None:
        yield "it is signed; name the keys you trust with --signers to have that looked at"
        return
    found = _keygen("find-principals", "-s", str(folder / SIGNATURE), "-f", str(signers))
    who = found.stdout.decode(errors="replace").splitlines()[:1]
    command = ("verify", "-f", str(signers), "-I", *who, "-n", _OF, "-s", str(folder / SIGNATURE))
    if not who or _keygen(*command, given=(folder / SUMS).read_bytes()).returncode:
        raise _fault(folder / SIGNATURE, f"no key in {signers} made this signature of {SUMS}")
    yield f"signed by {who[0]}"


def sign(sums_file: Path, key: Path) -> bytes:
    """Return the signature of a file of sums, as OpenSSH makes one with a private key.

    Raises
    ------
    RecordErrors
        If ``ssh-keygen`` is not there or refuses.
    """
    done = _keygen("sign", "-f", str(key), "-n", _OF, given=sums_file.read_bytes())
    if done.returncode:
        problem = f"ssh-keygen could not sign with it: {done.stderr.decode(errors='replace')}"
        remedy = "name a private key that OpenSSH can read; nothing was written"
        raise RecordErrors([RecordError(str(key), problem.strip(), remedy)])
    return done.stdout


def _keygen(*words: str, given: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    try:
        return subprocess.run(
            ["ssh-keygen", "-Y", *words], input=given, capture_output=True, check=False
        )
    except FileNotFoundError as error:
        remedy = "install OpenSSH, or leave signatures out"
        raise RecordErrors([RecordError("ssh-keygen", "it is not installed", remedy)]) from error
