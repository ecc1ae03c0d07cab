"""The one reader for numbers as people type them: `7,2`, `86F`, `21.5t`, `2.46in`, `3 981`, `39,210`.

Returns the number in the unit it is stored in. What cannot be read is an `Unreadable` whose text completes a sentence.
"""

import math
import re
from contextlib import suppress

from pitbench.records.fields import Datum

INCH_MM = 25.4
_SHAPE = re.compile(r"^([+-]?(?:\d[\d ]*)?(?:[.,]\d+)*[.,]?(?:[eE][+-]?\d+)?)\s*([^\d\s.,+-].*)?$")
_APOSTROPHE = re.compile(r"(?<=\d)['’](?=\d{3}(?!\d))")
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2}([.,])\d{3}(?:\1\d{3})*")

# (unit the field is kept in, unit a person wrote) -> (factor, offset added before it).
_CONVERSIONS: dict[tuple[str, str], tuple[float, float]] = {
    ("°C", "f"): (5 / 9, -32.0),
    ("°C", "k"): (1.0, -273.15),
    ("mm", "in"): (INCH_MM, 0.0),
    ("mm", "cm"): (10.0, 0.0),
    ("mΩ", "ohm"): (1000.0, 0.0),
    ("A", "ma"): (0.001, 0.0),
    ("V", "mv"): (0.001, 0.0),
    ("s", "min"): (60.0, 0.0),
    ("mAh", "ah"): (1000.0, 0.0),
}
_SAME = {
    "°C": {"c"},
    "mm": {"mm"},
    "mΩ": {"mohm", "mω", "milliohm"},
    "A": {"a"},
    "V": {"v"},
    "s": {"s", "sec"},
    "min": {"min"},
    "°": {"deg", "°"},
    "%": {"%", "pct"},
    "T": {"t", "turns", "turn"},
    "mAh": {"mah"},
    "rpm/V": {"rpm/v", "kv"},
    "rpm": {"rpm"},
    "erpm": {"erpm", "rpm"},
}
_SPELLINGS = {"°c": "c", "°f": "f", '"': "in", "inch": "in", "ω": "ohm", "degc": "c", "degf": "f"}


class Unreadable(ValueError):
    """What was typed is no number for this field; the text says what would be right."""


def read_number(text: str, quantity: Datum, bare: str = "") -> float:
    """Read `text` as a number in `quantity.unit`, checked against the possible range.

    `bare` is the unit of a number that stands alone, where it is not the quantity's own.

    >>> from pitbench.records.fields import QUANTITIES
    >>> read_number("7,2", QUANTITIES["test_voltage_v"])
    7.2
    >>> read_number("86F", QUANTITIES["motor_temp_c"])
    30.0
    >>> read_number("21.5t", QUANTITIES["turns"])
    21.5
    >>> read_number("2,46", QUANTITIES["max_rollout_mm"], bare="in")
    62.484
    >>> read_number("39,210", QUANTITIES["rpm"])
    39210.0
    """
    digits, unit = _split(_APOSTROPHE.sub("", text.replace("−", "-")), quantity)
    grouped = _GROUPED.fullmatch(digits)
    try:
        return _read(_decimal(digits, quantity), unit or bare, quantity)
    except Unreadable as why:
        if grouped:
            with suppress(Unreadable):
                return _read(float(digits.replace(grouped.group(1), "")), unit or bare, quantity)
        raise Unreadable(f"{why}{'' if unit or bare else _other_unit(digits, quantity)}") from None


def _read(number: float, unit: str, quantity: Datum) -> float:
    return checked(_convert(number, unit, quantity), quantity)


def likely_fahrenheit(number: float, quantity: Datum) -> float | None:
    """What a number in a °C field would be if it was read in °F, where that is likely.

    >>> from pitbench.records.fields import QUANTITIES
    >>> likely_fahrenheit(165, QUANTITIES["finish_reading_c"]), likely_fahrenheit(300, QUANTITIES["ambient_c"])
    (73.9, None)
    """
    celsius = round((number - 32) * 5 / 9, 1)
    return celsius if quantity.unit == "°C" and quantity.likely[0] <= celsius <= quantity.likely[1] else None


def checked(number: float, quantity: Datum) -> float:
    """`number` itself when it lies in the possible range; an `Unreadable` that names the range otherwise."""
    low, high = quantity.possible
    if not math.isfinite(number):
        raise Unreadable(f"is no number, one between {shown(low)} and {shown(high)}{_behind(quantity)} would be right")
    if not low <= number <= high:
        raise Unreadable(f"is not possible, {shown(low)} to {shown(high)}{_behind(quantity)} would be")
    if quantity.whole and number != int(number):
        raise Unreadable("must be a whole number")
    if quantity.even and number % 2:
        raise Unreadable("must be even, magnet poles come in pairs")
    return number


def shown(number: float) -> str:
    """A number with no digit more than it has: 3981.0 -> '3981', 4.1 -> '4.1'."""
    return str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)


def _other_unit(digits: str, quantity: Datum) -> str:
    """What to write if an impossible number was meant in °F or inch."""
    try:
        number = _decimal(digits, quantity)
    except Unreadable:
        return ""
    if likely_fahrenheit(number, quantity) is not None:
        return f", or {shown(number)}F if it is °F"
    low, high = quantity.likely
    return f", or {shown(number)}in if it is inch" if quantity.unit == "mm" and low <= number * INCH_MM <= high else ""


def _behind(quantity: Datum) -> str:
    return f" {quantity.unit}" if quantity.unit else ""


def _split(text: str, quantity: Datum) -> tuple[str, str]:
    match = _SHAPE.match(text.strip())
    digits = match.group(1).replace(" ", "") if match else ""
    if not match or not any(character.isdigit() for character in digits):
        raise Unreadable(f"is no number, write one like {example(quantity)}")
    return digits, (match.group(2) or "").strip()


def _decimal(digits: str, quantity: Datum) -> float:
    """Point or comma is the decimal sign; with both, the last one is and the other parts thousands.

    One kind alone parts thousands only where it cannot be the decimal sign: what `shown` writes is read as it was.
    """
    point, comma = digits.rfind("."), digits.rfind(",")
    if point >= 0 and comma >= 0:
        thousands = "," if point > comma else "."
        digits = digits.replace(thousands, "")
    digits = digits.replace(",", ".")
    try:
        return float(digits)
    except ValueError:
        raise Unreadable(f"is no number, write one like {example(quantity)}") from None


def example(quantity: Datum) -> str:
    """A likely number of this kind, for sentences that say what would be right."""
    low, high = quantity.likely
    middle = (low * high) ** 0.5 if low > 0 else (low + high) / 2
    if quantity.whole:
        return shown(round(middle / 2) * 2)
    return shown(float(f"{middle:.2g}"))


def _convert(number: float, written: str, quantity: Datum) -> float:
    folded = written.casefold()
    unit = _SPELLINGS.get(folded, folded)
    if not unit or unit in _SAME.get(quantity.unit, set()):
        return number
    if (quantity.unit, unit) in _CONVERSIONS:
        factor, offset = _CONVERSIONS[quantity.unit, unit]
        return round((number + offset) * factor, 9)
    wanted = quantity.unit or "no unit"
    raise Unreadable(f"has the unit {written}, {wanted} would be right")
