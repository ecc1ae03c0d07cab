"""The team's settings as texts: units, the order of day and month, the pack, the temperature limit.

Weights and margins have a form of their own (`weights`), hidden fields are hidden where they stand.
"""

from contextlib import suppress
from typing import TYPE_CHECKING

from pitbench.records.names import clean_text
from pitbench.records.numbers import Unreadable
from pitbench.records.refusal import Refusal
from pitbench.records.typed import label_of, sentence
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook, Snapshot

NUMBERS = ("volts_per_cell", "leads_mohm", "ceiling_c")
FIELDS = ("temperature_unit", "length_unit", "day_first", *NUMBERS)
_WORDS: dict[str, dict[str, str | bool]] = {
    "temperature_unit": {"c": "C", "°c": "C", "f": "F", "°f": "F"},
    "length_unit": {"mm": "mm", "in": "in", "inch": "in"},
    "day_first": {"yes": True, "y": True, "no": False, "n": False},
}
_RIGHT = {"temperature_unit": "C or F", "length_unit": "mm or inch", "day_first": "yes or no"}


def settings_texts(snapshot: "Snapshot") -> dict[str, str]:
    """The form's texts as the settings stand."""
    settings, units = snapshot.settings(), units_of(snapshot)
    texts = {name: units.typed(name, getattr(settings, name)) for name in NUMBERS}
    texts |= {"temperature_unit": settings.temperature_unit, "day_first": "yes" if settings.day_first else "no"}
    return texts | {"length_unit": "inch" if settings.length_unit == "in" else "mm"}


def settings_problems(snapshot: "Snapshot", texts: dict[str, str]) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = {}
    for name in FIELDS:
        try:
            _read(snapshot, texts, name)
        except Unreadable as why:
            problems[name] = sentence(label_of(name), texts[name], str(why))
    return problems


def _read(snapshot: "Snapshot", texts: dict[str, str], name: str) -> str | bool | float:
    text = clean_text(texts[name]).casefold()
    if name in _WORDS:
        if text not in _WORDS[name]:
            raise Unreadable(f"must be {_RIGHT[name]}")
        return _WORDS[name][text]
    units, settings = units_meant(texts, units_of(snapshot)), snapshot.settings()
    stored: float = getattr(settings, name)
    if texts[name] == units.typed(name, stored):
        return stored
    if not text:
        default: float = type(settings).model_fields[name].default
        return default
    return units.read(name, texts[name])


def units_meant(texts: dict[str, str], before: Units) -> Units:
    """The units typed; what is not clear yet stays as it was before."""
    temperature = _WORDS["temperature_unit"].get(clean_text(texts["temperature_unit"]).casefold(), before.temperature)
    length = _WORDS["length_unit"].get(clean_text(texts["length_unit"]).casefold(), before.length)
    return Units(str(temperature), str(length))


def convert_texts(texts: dict[str, str], before: Units, now: Units) -> None:
    """Numbers of the form go along into the units typed; what cannot be read stays as it is."""
    for name in NUMBERS:
        if texts[name].strip() and before.unit(name) != now.unit(name):
            with suppress(Unreadable):
                texts[name] = now.typed(name, before.read(name, texts[name]))


def save_settings(logbook: "Logbook", texts: dict[str, str]) -> str:
    """Store the settings as one action; no record is touched. Returns the words of what was done."""
    snapshot = logbook.snapshot()
    for problem in settings_problems(snapshot, texts).values():
        raise Refusal(problem)
    said = {name: _read(snapshot, texts, name) for name in FIELDS}
    words = "units and settings"
    logbook.save_settings(words, logbook.settings().with_(**said))
    return words
