"""Headers of people's own bench sheets: which column is meant by KV, Amps or Date.

Nothing is read by these words; they only say what would be right. The columns themselves stand in `tables`.
"""

import re
from collections.abc import Iterable

_FIGURES = {
    "kv_rpm_per_v": ("kv", "motor kv", "kv value", "rpm per volt", "rpm per v"),
    "rpm": ("rpm", "rpms", "speed", "revs", "revolutions", "max rpm", "no load rpm", "no load speed"),
    "erpm": ("electrical rpm", "electric rpm"),
    "no_load_current_a": ("current", "amp", "amps", "ampere", "amperes", "i0", "no load current", "no load amps"),
    "timing_deg": ("timing", "motor timing", "measured timing"),
    "pole_imbalance_pct": ("imbalance", "pole imbalance"),
    "hall_level_spread_pct": ("hall spread", "hall level spread"),
}
_BESIDE = {
    "motor": ("motor name", "name"),
    "taken_at": ("date", "time", "day", "when", "date time", "datetime", "tested", "taken"),
    "test_voltage_v": ("volt", "volts", "voltage", "test voltage"),
    "motor_temp_c": ("temp", "temperature", "motor temp", "motor temperature"),
}
_MEANT = {phrase: column for column, phrases in (_FIGURES | _BESIDE).items() for phrase in phrases}
_UNITS = {"a", "v", "c", "deg", "degrees", "pct", "rpm", "min", "volt"}
_BRACKETED = re.compile(r"[(\[].*?[)\]]")
_BETWEEN = re.compile(r"[\W_]+")


def meant_by(header: str) -> str | None:
    """The bench column a header names in other words, its unit behind it or not.

    >>> meant_by("No-load current [A]"), meant_by("KV (rpm/V)"), meant_by("Owner")
    ('no_load_current_a', 'kv_rpm_per_v', None)
    """
    words = _BETWEEN.sub(" ", _BRACKETED.sub(" ", header.casefold())).split()
    while words:
        if found := _MEANT.get(" ".join(words)):
            return found
        if words.pop() not in _UNITS:
            break
    return None


def bench_columns(headers: Iterable[str]) -> dict[str, str]:
    """For headers among which one names a figure in other words: the right column of each that does, by header."""
    found = {header: column for header in headers if (column := meant_by(header))}
    return found if _FIGURES.keys() & set(found.values()) else {}
