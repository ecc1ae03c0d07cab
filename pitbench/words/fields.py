"""What a field takes, beyond the one line that stands under it: its unit, what is usual, what else is read."""

from pitbench.records.fields import CHOICE, FIELDS, NUMBER, QUANTITIES, RECORDS, TIME, YES_NO, Datum
from pitbench.records.units import Units

_OF_FORM = {
    YES_NO: "yes or no; their first letters will do.",
    TIME: "A time alone is today's; 16 May 14:30 and 2026-05-16 14:30 are read too.",
}
_OTHER_UNITS = {"°C": "With its letter °F is read too: 165F.", "°F": "With its letter °C is read too: 74C."}


def field_words(name: str, units: Units, kind: str = "") -> str:
    """Sentences about a field of this kind of record; empty where its one line says it all.

    >>> field_words("motor_temp_c", Units())
    'In °C: -5 to 90 is usual, -30 to 200 is taken. With its letter °F is read too: 165F.'
    >>> field_words("parts_mixed", Units(), "class_sheet")
    'One of these, or its first letters: yes, no, same model.'
    """
    datum = next((each for each in RECORDS.get(kind, ()) if each.name == name), FIELDS.get(name))
    if datum is None:
        return ""
    if datum.form == CHOICE:
        return f"One of these, or its first letters: {', '.join(datum.words).replace('_', ' ')}."
    return _number(datum, units) if datum.form == NUMBER and name in QUANTITIES else _OF_FORM.get(datum.form, "")


def _number(datum: Datum, units: Units) -> str:
    unit = units.unit(datum.name) if datum.unit else ""
    usual, taken = (_range(datum.name, ends, units) for ends in (datum.likely, datum.possible))
    told = f"{f'In {unit}: ' if unit else ''}{usual} is usual, {taken} is taken."
    return f"{told} {_OTHER_UNITS[unit]}" if unit in _OTHER_UNITS else told


def _range(name: str, ends: tuple[float, float], units: Units) -> str:
    low, high = (units.in_field(name, end) for end in ends)
    return f"{low} to {high}"
