"""A collection: a folder of plain text that holds what sources say."""

import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.files import SETTINGS

_TEXTS = ("title", "base", "licence", "publisher", "description")
_NEEDED = ("title", "base")
_YEARS = ("margin_years", "catalogue_lag_years")
_RULES = ("without", "also")


@dataclass(frozen=True, slots=True)
class Collection:
    """What ``collection.toml`` says.

    Attributes
    ----------
    path
        The folder.
    title, licence, publisher, description
        As in the file; empty if not given.
    base
        IRI that begins every identifier of the collection; ends in ``/``.
    margin_years
        Years by which a date marked approximate is widened on either side; None for the default
        of `glost.record.dates`.
    catalogue_lag_years
        Years by which a list may lag behind what is in production; None for the default of
        `glost.trade.times`.
    without_rules, also_rules
        Rules of `glost.trade.times` to do without, and those to use only because they are named.
    trust
        Weight of a source, by its id: 1 for a source trusted like any other.
    """

    path: Path
    title: str
    base: str
    licence: str = ""
    publisher: str = ""
    description: str = ""
    margin_years: int | None = None
    catalogue_lag_years: int | None = None
    without_rules: tuple[str, ...] = ()
    also_rules: tuple[str, ...] = ()
    trust: dict[str, float] = field(default_factory=dict)

    @property
    def margin(self) -> Margin:
        """How far dates marked approximate are widened: years of 365 days, or the default."""
        if self.margin_years is None:
            return DEFAULT_MARGIN
        return Margin(year=self.margin_years * 365)


def read_collection(path: Path) -> Collection:
    """Read a collection's settings.

    Parameters
    ----------
    path
        The folder.

    Raises
    ------
    RecordErrors
        If there is no ``collection.toml``, or anything in it is missing, unknown or ill-formed.
    """
    file = path / SETTINGS
    try:
        data = tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        remedy = "name the folder of a collection, or start one with: glost begin FOLDER"
        raise RecordErrors([RecordError(SETTINGS, f"there is none in {path}", remedy)]) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as bad:
        raise RecordErrors(
            [RecordError(SETTINGS, f"it cannot be read: {bad}", "correct it")]
        ) from None
    errors = [*_unknown(data), *_wrong(data)]
    if errors:
        raise RecordErrors(errors)
    dates = data.get("dates", {})
    return Collection(
        path=path,
        margin_years=dates.get("margin_years"),
        catalogue_lag_years=dates.get("catalogue_lag_years"),
        without_rules=tuple(dates.get("without", ())),
        also_rules=tuple(dates.get("also", ())),
        trust={name: float(weight) for name, weight in data.get("trust", {}).items()},
        **{name: data.get(name, "") for name in _TEXTS},
    )


def _unknown(data: dict[str, object]) -> list[RecordError]:
    known = (*_TEXTS, "dates", "trust")
    return [
        RecordError(
            SETTINGS,
            f'"{name}" is not known here',
            suggestion(name, known, f"settings are {', '.join(known)}"),
            found=name,
        )
        for name in data
        if name not in known
    ]


def _wrong(data: dict[str, object]) -> list[RecordError]:
    errors = []
    for name in _TEXTS:
        value = data.get(name, "")
        if not isinstance(value, str):
            errors.append(RecordError(SETTINGS, f"{name} is not text", f'write {name} = "…"'))
        elif name in _NEEDED and not value.strip():
            errors.append(RecordError(SETTINGS, f"{name} is missing", f'write {name} = "…"'))
    base = data.get("base")
    if isinstance(base, str) and base and not re.fullmatch(r"https?://[^\s<>\"{}|\\^`#?]+/", base):
        remedy = 'write it like base = "https://example.org/pottery/"'
        errors.append(
            RecordError(SETTINGS, f'base "{base}" is not an http address ending in /', remedy)
        )
    return errors + _wrong_numbers(data)


def _wrong_dates(dates: object) -> list[RecordError]:
    if not isinstance(dates, dict):
        remedy = "write [dates], and under it margin_years = 3"
        return [RecordError(SETTINGS, "[dates] is not a table", remedy)]
    errors = []
    for name, value in dates.items():
        if name in _YEARS:
            if not isinstance(value, int) or isinstance(value, bool) or value < 0:
                message = f"{name} is not a whole number of years"
                errors.append(RecordError(SETTINGS, message, f"write {name} = 3"))
        elif name in _RULES:
            if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
                remedy = f'write {name} = ["list-offers-shape"]'
                errors.append(RecordError(SETTINGS, f"{name} is not a list of rules", remedy))
        else:
            known = (*_YEARS, *_RULES)
            remedy = suggestion(name, known, f"[dates] holds {', '.join(known)}")
            errors.append(RecordError(SETTINGS, f'"{name}" is not known in [dates]', remedy))
    return errors


def _wrong_numbers(data: dict[str, object]) -> list[RecordError]:
    errors = _wrong_dates(data.get("dates", {}))
    trust = data.get("trust", {})
    if not isinstance(trust, dict) or not all(
        isinstance(weight, int | float) and weight > 0 for weight in trust.values()
    ):
        message = "[trust] gives each source id a number above 0"
        errors.append(RecordError(SETTINGS, message, "write it like later-book = 0.5"))
    return errors
