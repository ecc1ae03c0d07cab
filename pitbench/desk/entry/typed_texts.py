"""The digits of what was typed, and what brings a number so typed to the unit it is stored in."""

import re
from collections.abc import Mapping

from pitbench.desk.entry.mistyped import Typed
from pitbench.records.fields import QUANTITIES
from pitbench.records.numbers import INCH_MM
from pitbench.records.units import Units

_NUMBER = re.compile(r"^\s*([0-9]+(?:[.,][0-9]+)?)\s*(°?[fF]|in|\")?\s*$")
_FAHRENHEIT, _INCH = (5 / 9, -32.0), (INCH_MM, 0.0)


def typed_texts(texts: Mapping[str, str], units: Units) -> dict[str, Typed]:
    """Texts that are one plain number, by field; what says its unit, or groups its digits, is left out."""
    found = {}
    for name, text in texts.items():
        if name in QUANTITIES and (typed := typed_text(name, text, units.unit(name))) is not None:
            found[name] = typed
    return found


def typed_text(name: str, text: str, unit: str) -> Typed | None:
    """One text in the unit a bare number has.

    >>> typed_text("ambient_c", "86F", "°C"), typed_text("no_load_current_a", "4,10", "A")
    (Typed(digits='86', factor=0.5556, offset=-32.0), Typed(digits='4.10', factor=1.0, offset=0.0))
    """
    match = _NUMBER.match(text)
    if not match:
        return None
    digits, written = match[1].replace(",", "."), (match[2] or "").casefold().lstrip("°")
    stored = QUANTITIES[name].unit
    if stored == "°C" and (written == "f" or (not written and unit == "°F")):
        return Typed(digits, *_FAHRENHEIT)
    if stored == "mm" and (written in ("in", '"') or (not written and unit == "in")):
        return Typed(digits, *_INCH)
    return None if written else Typed(digits)
