"""A collection's own files packed into one, and an edition opened from it."""

import io
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from glost.limits import TEXT_FILE
from glost.publish.editions.edition import TABLES, folder_of
from glost.publish.editions.proving import proved_bytes
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import SETTINGS, read_files

_DAY = (1980, 1, 1, 0, 0, 0)
"""The first day a zip file knows: packing the same files again gives the same file."""


def pack(collection: Path) -> bytes:
    """Pack everything that reading a collection reads, always alike."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as packed:
        for path in read_files(collection):
            name = path.relative_to(collection).as_posix()
            about = zipfile.ZipInfo(name, _DAY)
            about.compress_type, about.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            packed.writestr(about, path.read_bytes())
    return whole.getvalue()


@contextmanager
def opened(collection: Path, name: str) -> Iterator[Path]:
    """Lay out the collection as it was for an edition, for as long as it is used.

    Parameters
    ----------
    collection
        The collection's folder.
    name
        The edition's name.

    Yields
    ------
    Path
        A folder that is a collection.

    Raises
    ------
    RecordErrors
        If there is no such edition, or its files are not what its sums say.
    """
    folder = folder_of(collection, name)
    content = proved_bytes(folder, TABLES)
    with tempfile.TemporaryDirectory(prefix="glost-edition-") as place:
        unpack(content, folder / TABLES, Path(place))
        yield Path(place)


def unpack(content: bytes, path: Path, place: Path) -> None:
    """Lay packed files out in a folder.

    Raises
    ------
    RecordErrors
        If it is no such file, or holds anything that reading a collection does not read.
    """
    remedy = "fetch the edition again, or bring it back from a copy"
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            for each in packed.infolist():
                if not _is_ours(each.filename) or each.file_size > TEXT_FILE:
                    problem = f"it holds {each.filename!r}, which is no file of a collection"
                    raise RecordErrors([RecordError(str(path), problem, remedy)])
                target = place / each.filename
                target.parent.mkdir(exist_ok=True)
                with packed.open(each) as file:
                    target.write_bytes(file.read(each.file_size))
    except (zipfile.BadZipFile, OSError, EOFError) as error:
        raise RecordErrors(
            [RecordError(str(path), f"it cannot be unpacked: {error}", remedy)]
        ) from error


def _is_ours(name: str) -> bool:
    """Tell whether a packed file may be laid out: no name leads out of the folder."""
    if "\\" in name or "\0" in name:
        return False
    top, slash, rest = name.partition("/")
    if slash:
        return top == "tables" and bool(rest) and "/" not in rest and not rest.startswith(".")
    return name == SETTINGS or (name.endswith(".trig") and not name.startswith("."))
