"""The team's settings as texts: units, the order of day and month, the pack, the temperature limit.

Weights and margins have a form of their own (`weights`), hidden fields are hidden where they stand.
"""

from contextlib import suppress
from typing import TYPE_CHECKING, Any

from pitbench.records.fields import QUANTITIES, RECORDS
from pitbench.records.names import clean_text
from pitbench.records.numbers import Unreadable
from pitbench.records.reading import read_choice, read_yes_no
from pitbench.records.typed import made, read_all, refuse, sentences
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook, Snapshot

TABLE = {datum.name: datum for datum in RECORDS["settings"]}
FIELDS = tuple(TABLE)
NUMBERS = tuple(name for name in FIELDS if name in QUANTITIES)
SPOKEN = {"°c": "C", "°f": "F", "inch": "in"}
"""Other words for units."""


def settings_texts(snapshot: "Snapshot") -> dict[str, str]:
    """The form's texts as the settings stand."""
    team, units = snapshot.team(), units_of(snapshot)
    texts = {name: units.typed(name, getattr(team, name)) for name in NUMBERS}
    texts |= {"temperature_unit": team.temperature_unit, "day_first": "yes" if team.day_first else "no"}
    return texts | {"length_unit": "inch" if team.length_unit == "in" else "mm"}


def settings_problems(snapshot: "Snapshot", texts: dict[str, str]) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    return sentences(texts, _read(snapshot, texts)[1])


def _read(snapshot: "Snapshot", texts: dict[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    """What every text means, a blank number as by default; and what is wrong, a clause a field."""
    units, team = units_meant(texts, units_of(snapshot)), snapshot.team()

    def read(name: str, text: str) -> Any:
        if name == "day_first":
            return read_yes_no(text)
        if name not in NUMBERS:
            return _unit(name, text)
        if text == units.typed(name, getattr(team, name)):
            return getattr(team, name)
        return units.read(name, text) if clean_text(text) else TABLE[name].default

    return read_all(texts, FIELDS, read)


def _unit(name: str, text: str) -> str:
    return read_choice(SPOKEN.get(clean_text(text).casefold(), text), TABLE[name].words)


def units_meant(texts: dict[str, str], before: Units) -> Units:
    """The units typed; what is not clear yet stays as it was before."""
    meant, _ = read_all(texts, ("temperature_unit", "length_unit"), _unit)
    return Units(meant.get("temperature_unit", before.temperature), meant.get("length_unit", before.length))


def convert_texts(texts: dict[str, str], before: Units, now: Units) -> None:
    """Numbers of the form go along into the units typed; what cannot be read stays as it is."""
    for name in NUMBERS:
        if texts[name].strip() and before.unit(name) != now.unit(name):
            with suppress(Unreadable):
                texts[name] = now.typed(name, before.read(name, texts[name]))


def save_settings(logbook: "Logbook", texts: dict[str, str]) -> str:
    """Store the settings as one action; no record is touched. Returns the words of what was done."""
    read, wrong = _read(logbook.snapshot(), texts)
    refuse(sentences(texts, wrong))
    words = "units and settings"
    settings = logbook.settings()
    logbook.save_settings(words, made(type(settings), {**settings.row(), **read}))
    return words
