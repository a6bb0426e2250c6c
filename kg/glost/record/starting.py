"""A new collection: settings, a template of every table, and a short guide."""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from glost.record.cells import text_fault
from glost.record.collection import base_fault
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import SETTINGS, digest, table_files
from glost.record.glossary import in_words, published_lists
from glost.record.rows import PROVENANCE
from glost.record.tables import PARTIAL, TableDescription, csvw_metadata, tables
from glost.record.transaction import Place, changing

_GUIDE = Path(__file__).with_name("guide.md")


def begin(path: Path, title: str, base: str) -> list[Path]:
    """Start a collection.

    Parameters
    ----------
    path
        The folder; made if it is not there.
    title
        What the collection is called.
    base
        Web address that begins every identifier; ends in ``/``.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    RecordErrors
        If the folder already holds a collection or tables other than these very files, as they
        are when they have just been begun, or title or base cannot be written; nothing is then
        written.
    """
    _check(title, base)
    texts = {"GUIDE.md": guide()}
    texts |= {f"tables/{table.name}.csv": header(table) for table in tables().values()}
    texts["tables/csvw-metadata.json"] = (
        json.dumps(csvw_metadata(), indent=2, ensure_ascii=False) + "\n"
    )
    texts[SETTINGS] = _settings(title, base)  # last: with it the folder is a collection
    with changing(Place.within(path), "begin a collection") as change:
        taken = _taken(path, texts)
        if taken:
            remedy = "name another folder; nothing was written"
            raise RecordErrors(RecordError(n, f"{path} already has it", remedy) for n in taken)
        for name, text in texts.items():
            if digest(path / name) is None:
                change.put(name, text)
        change.commit()
    (path / "images").mkdir(exist_ok=True)
    return [path / name for name in texts]


def _taken(path: Path, texts: Mapping[str, str]) -> list[str]:
    """Return what stands where a collection is to begin and was not put there by beginning one."""
    there = [SETTINGS, *(f"tables/{found.name}" for found in table_files(path))]
    there += [name for name in texts if name not in there]
    return [
        name
        for name in there
        if (path / name).exists()
        and (name not in texts or (path / name).read_bytes() != texts[name].encode())
    ]


def _check(title: str, base: str) -> None:
    errors = []
    if fault := text_fault(title):
        errors.append(RecordError(SETTINGS, f"title: {fault.message}", fault.remedy))
    if message := base_fault(base):
        remedy = "write it like https://example.org/pottery/"
        errors.append(RecordError(SETTINGS, message, remedy))
    if errors:
        raise RecordErrors(errors)


def header(table: TableDescription) -> str:
    """Return the header row of a table, the columns every table carries last."""
    return ",".join(column.name for column in table.real) + "\n"


def guide() -> str:
    """Return the guide: how to keep a collection, what every column means, and every term."""
    lists = ["## The lists of terms\n", *in_words(published_lists())]
    parts = [_GUIDE.read_text(encoding="utf-8"), *_columns(tables().values()), *lists]
    return "\n".join(parts)


def _columns(found: Iterable[TableDescription]) -> Iterable[str]:
    yield "## The tables and their columns\n"
    common = {*PROVENANCE, PARTIAL}
    for table in found:
        yield f"### {table.name}.csv\n\n{table.description}\n"
        for column in table.real:
            if column.name in common and column.name not in table.key:
                continue
            must = " (required)" if column.required else ""
            several = " Several may be parted by |." if column.many else ""
            yield f"- `{column.name}`{must}: {column.description}.{several}"
        yield ""


def _settings(title: str, base: str) -> str:
    quoted = json.dumps(title, ensure_ascii=False)
    return (
        f"title = {quoted}\n"
        f"base = {json.dumps(base)}\n"
        'licence = "https://creativecommons.org/licenses/by/4.0/"\n'
        'publisher = ""\n'
        'description = ""\n'
        "# What those who look for it in a catalogue of data are told.\n"
        'language = "en"\n'
        '# place = "where what is described was made"\n'
        '# contact = "keeper@example.org"\n'
        '# issued = "2024-06-30"\n'
        '# keywords = ["pottery", "dinnerware"]\n'
        "\n"
        "# Years by which a date marked approximate (1911~) is widened on either side.\n"
        "# [dates]\n"
        "# margin_years = 3\n"
        "# Years by which a list may lag behind what is in production, or run ahead of it.\n"
        "# catalogue_lag_years = 1\n"
        "# Rules of time to do without, and rules to use that hold only where asked for.\n"
        '# without = ["shape-of-pottery"]\n'
        '# also = ["missing-from-complete-list"]\n'
        "\n"
        "# How far a source is trusted beside others: 1 unless you say otherwise.\n"
        "# [trust]\n"
        "# later-book = 0.5\n"
        "\n"
        "# Identifiers that were published: what they are called now, or what took their place.\n"
        "# [renamed]\n"
        '# "shape/elder" = "shape/alder"\n'
        "# [withdrawn]\n"
        '# "shape/ghost" = ""\n'
    )
