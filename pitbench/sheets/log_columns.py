"""What a load log can hold: its columns by name, their units, and which header is likely which of them.

The columns of a load log are those of no record, so they stand here. Nothing is read here; what a guess is worth, the
user decides once for files with the same headers.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

TIME, DATE = "time", "date"
VOLTAGE, CURRENT, MOTOR_CURRENT = "voltage_v", "current_a", "motor_current_a"
RPM, ERPM, THROTTLE, DUTY = "rpm", "erpm", "throttle", "duty"
MOTOR_TEMP, ESC_TEMP = "motor_temp_c", "esc_temp_c"

UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "time": {"s": (1, 0), "ms": (1e-3, 0), "us": (1e-6, 0), "min": (60, 0)},
    "voltage": {"v": (1, 0), "mv": (1e-3, 0)},
    "current": {"a": (1, 0), "ma": (1e-3, 0)},
    "speed": {"rpm": (1, 0), "krpm": (1e3, 0)},
    "part": {"1": (1, 0), "%": (0.01, 0)},
    "warmth": {"c": (1, 0), "f": (5 / 9, -32), "k": (1, -273.15)},
}
"""Of a quantity its units: what is added first, at the second place, and the factor, at the first."""
_QUANTITY = {
    TIME: "time",
    VOLTAGE: "voltage",
    CURRENT: "current",
    MOTOR_CURRENT: "current",
    RPM: "speed",
    ERPM: "speed",
    THROTTLE: "part",
    DUTY: "part",
    MOTOR_TEMP: "warmth",
    ESC_TEMP: "warmth",
}
COLUMNS: dict[str, tuple[str, str]] = {
    "date": (DATE, ""),
    "time": (TIME, ""),
    "time_s": (TIME, "s"),
    "time_ms": (TIME, "ms"),
    "time_us": (TIME, "us"),
    "time_min": (TIME, "min"),
    "voltage_v": (VOLTAGE, "v"),
    "voltage_mv": (VOLTAGE, "mv"),
    "current_a": (CURRENT, "a"),
    "current_ma": (CURRENT, "ma"),
    "motor_current_a": (MOTOR_CURRENT, "a"),
    "motor_current_ma": (MOTOR_CURRENT, "ma"),
    "rpm": (RPM, "rpm"),
    "erpm": (ERPM, "rpm"),
    "throttle_pct": (THROTTLE, "%"),
    "throttle": (THROTTLE, ""),
    "duty_pct": (DUTY, "%"),
    "duty": (DUTY, ""),
    "motor_temp_c": (MOTOR_TEMP, "c"),
    "motor_temp_f": (MOTOR_TEMP, "f"),
    "esc_temp_c": (ESC_TEMP, "c"),
    "esc_temp_f": (ESC_TEMP, "f"),
}
"""Names of columns: what each is, and its unit; empty where its numbers tell it."""
MEANINGS = {
    DATE: "The day, beside a column with the time of day.",
    TIME: "Since the log began, or the time of day.",
    VOLTAGE: "Of the battery, at the speed control.",
    CURRENT: "Out of the battery.",
    MOTOR_CURRENT: "Into the motor; with duty it tells KV and resistance below full throttle too.",
    RPM: "Speed of the shaft.",
    ERPM: "Electrical speed: that of the shaft times pole pairs.",
    THROTTLE: "What the driver asks for.",
    DUTY: "The part of the time the speed control puts the battery on the motor.",
    MOTOR_TEMP: "Of the motor.",
    ESC_TEMP: "Of the speed control.",
}
NEEDED = ((TIME, "time_s"), (VOLTAGE, "voltage_v"), (CURRENT, "current_a"))
"""Without these a log tells nothing; the current may be the motor's."""
_SPELLINGS = {
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "millis": "ms", "msec": "ms", "milliseconds": "ms",
    "µs": "us", "μs": "us", "usec": "us", "micros": "us", "minutes": "min", "volt": "v", "volts": "v", "amp": "a",
    "amps": "a", "ampere": "a", "amperes": "a", "degc": "c", "celsius": "c", "degf": "f", "fahrenheit": "f",
    "kelvin": "k", "pct": "%", "percent": "%", "/min": "rpm", "min-": "rpm", "u/min": "rpm", "r/min": "rpm",
}  # fmt: skip
_WORDS: dict[str, frozenset[str]] = {
    what: frozenset(words.split())
    for what, words in {
        DATE: "date datum day",
        TIME: "time t zeit timestamp elapsed clock uptime seconds secs millis milliseconds micros",
        VOLTAGE: "voltage volt volts vbat vbatt vin u spannung tension",
        CURRENT: "current amps amp ampere amperes i ibat iin strom courant",
        ERPM: "erpm",
        RPM: "rpm speed drehzahl revs revolutions",
        THROTTLE: "throttle gas signal stick trigger",
        DUTY: "duty dutycycle pwm",
        "warmth": "temp temperature temperatur tmp",
    }.items()
}
_OF_MOTOR = frozenset({"motor", "mot", "can", "phase", "winding"})
_OF_ESC = frozenset({"esc", "controller", "control", "fet", "fets", "mosfet", "board", "regler", "driver"})
_OTHER = frozenset(
    {"cell", "bec", "ripple", "max", "peak", "mah", "wh", "w", "watts", "kmh", "km", "mph", "gps", "accel", "power"}
)
"""Words of what a log holds besides: a header with one of them is none of the columns."""


@dataclass(frozen=True)
class Used:
    """One column as it is used: what it is, under which header, at which place, in which unit ("" when its numbers
    tell it), and whether the unit was stated in the file."""

    column: str
    what: str
    header: str
    place: int
    unit: str
    stated: bool


def described() -> list[tuple[str, str, str]]:
    """Name, unit and meaning of each column: what a person maps headers to."""
    said = {"c": "°C", "f": "°F", "us": "µs", "ms": "ms", "s": "s", "min": "min", "rpm": "rpm", "%": "%"}
    units = {name: said.get(unit, unit.replace("v", "V").replace("a", "A")) for name, (_, unit) in COLUMNS.items()}
    units["date"] = "a day"
    return [(name, units[name] or "by its numbers", MEANINGS[what]) for name, (what, _) in COLUMNS.items()]


def units_of(what: str) -> list[str]:
    """The units a quantity may be in, the one kept first."""
    return list(UNITS[_QUANTITY[what]])


def factor(what: str, unit: str) -> tuple[float, float]:
    """Offset and factor that bring a number of that unit to the unit kept, as (number + offset) · factor."""
    by, added = UNITS[_QUANTITY[what]][unit]
    return added, by


def unit_in(text: str, what: str) -> str:
    """The unit of a quantity that a header or a units row names, empty where it names none.

    >>> unit_in("Motor temp (°F)", MOTOR_TEMP), unit_in("Zeit [ms]", TIME), unit_in("speed_rpm", RPM)
    ('f', 'ms', 'rpm')
    """
    units = UNITS.get(_QUANTITY.get(what, ""), {})
    bracket = re.search(r"[\[({]([^\])}]*)[\])}]", text)
    words = [bracket.group(1)] if bracket else re.split(r"[\s_,;:]+|(?<=\w)/(?=\w+$)", text)[::-1]
    for word in words:
        plain = re.sub(r"[^a-zµμ%/-]", "", word.casefold())
        unit = _SPELLINGS.get(plain, plain)
        if unit in units and (bracket or len(words) > 1 or unit == "%" or plain in _SPELLINGS):
            return unit
    return ""


def own_columns(headers: Sequence[str]) -> dict[str, str]:
    """The headers that are names of columns already: {column: header}."""
    return {header.casefold(): header for header in headers if header.casefold() in COLUMNS}


def suggested(headers: Sequence[str], stated: Sequence[str] = ()) -> dict[str, str]:
    """Which header is likely which column, from its words and units: {column: header}, each once.

    >>> suggested(["Zeit [ms]", "Battery Voltage", "I/A", "MotorTemp °F", "Speed (km/h)"])
    {'time_ms': 'Zeit [ms]', 'voltage_v': 'Battery Voltage', 'current_a': 'I/A', 'motor_temp_f': 'MotorTemp °F'}
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for header, unit in zip(headers, [*stated, *[""] * (len(headers) - len(stated))], strict=True):
        what = _what(header, unit)
        if what is not None and what not in taken:
            taken.add(what)
            found[_column(what, unit_in(header, what) or unit_in(f"({unit})", what))] = header
    return found


def missing(what: Iterable[str]) -> list[str]:
    """Columns a log needs that are not there."""
    there = {CURRENT if each == MOTOR_CURRENT else TIME if each == DATE else each for each in what}
    return [column for each, column in NEEDED if each not in there]


def used(mapping: Mapping[str, str], headers: Sequence[str], stated: Sequence[str]) -> list[Used]:
    """The columns of a mapping {column: header} with their places and units."""
    found = []
    for column, header in mapping.items():
        what, unit = COLUMNS[column]
        place = headers.index(header)
        named = unit_in(header, what) or unit_in(f"({stated[place]})" if place < len(stated) else "", what)
        is_name = header.casefold() == column
        plain = column in ("time_s", "voltage_v", "current_a", "motor_current_a", "motor_temp_c", "esc_temp_c")
        said = unit if is_name or not plain else ""
        found.append(Used(column, what, header, place, named or said, bool(named or said)))
    return found


def _what(header: str, unit: str) -> str | None:
    """What a header is likely to be called after."""
    words = _words(header)
    if words & _OTHER or re.search(r"k\W?m\W?/?\W?h\b|mph|m/s", header.casefold()):
        return None
    if header.casefold() in COLUMNS:
        return COLUMNS[header.casefold()][0]
    of_motor, of_esc = bool(words & _OF_MOTOR), bool(words & _OF_ESC)
    if words & _WORDS["warmth"] or any(unit_in(text, MOTOR_TEMP) in ("c", "f") for text in (header, f"({unit})")):
        return MOTOR_TEMP if of_motor else ESC_TEMP if of_esc else None
    if words & _WORDS[RPM] and words & {"electrical", "elec", "el"}:
        return ERPM
    for what in (DATE, ERPM, RPM, THROTTLE, DUTY, VOLTAGE, CURRENT, TIME):
        if words & _WORDS[what]:
            return MOTOR_CURRENT if what == CURRENT and of_motor else what
    for what in (VOLTAGE, CURRENT, RPM, TIME):
        if unit_in(header, what) or unit_in(f"({unit})", what):
            return MOTOR_CURRENT if what == CURRENT and of_motor else what
    return None


def _words(header: str) -> set[str]:
    apart = re.sub(r"(?<=[a-zß-ÿ])(?=[A-Z])", " ", header)
    return set(re.findall(r"[^\W\d_]+", apart.casefold()))


def _column(what: str, unit: str) -> str:
    """The name of the column of a quantity in this unit."""
    names = [name for name, (each, of) in COLUMNS.items() if each == what and of == unit and name != "time"]
    return names[0] if names else next(name for name, (each, _) in COLUMNS.items() if each == what and name != "time")
