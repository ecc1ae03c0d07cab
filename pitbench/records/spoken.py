"""How records are called in a sentence: by their short names, counted and listed.

Refusals, the undo and the room `words` all take these; whole sentences about an answer stand in `words`.
"""

from collections.abc import Mapping
from typing import Any

from pitbench.records.numbers import INCH_MM, shown

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
BINNED = ("motor", "setup_entry", "gear", "load_log")
"""Kinds shown in the bin besides runs. What belongs to a run or motor goes and comes with it."""
FIGURES = {
    "load_power_w": "power at load",
    "kv_rpm_per_v": "KV",
    "no_load_current_a": "no-load current",
    "speed_per_amp": "speed per amp",
    "sensor_spread_deg": "sensor spread",
    "pole_imbalance_pct": "pole imbalance",
    "hall_level_spread_pct": "Hall level spread",
    "resistance_mohm": "winding resistance",
    "track_pace_s": "track pace",
    "finish_temp_c": "finish temperature",
}
"""The figures of a ranking, as they are called."""
GEARING = {
    "none": "nothing caps gearing",
    "heat": "motor temperature caps gearing",
    "rules": "the rules cap gearing",
    "gears": "your gears cap gearing",
    "unknown": "what caps gearing is not known",
}
"""What caps gearing, as a class sheet says it."""
_TOLD_BY = {
    "logged_at": "load_log",
    "taken_at": "bench_run",
    "started_at": "track_run",
    "written_at": "setup_entry",
    "teeth": "gear",
}


def kind_of_row(row: Mapping[str, Any]) -> str:
    """Kind of a record of the bin, told by a field only that kind has.

    >>> kind_of_row({"teeth": 28}), kind_of_row({"name": "Heron"})
    ('gear', 'motor')
    """
    return next((kind for name, kind in _TOLD_BY.items() if name in row), "motor")


def binned_words(row: Mapping[str, Any]) -> tuple[str, str, str]:
    """Name of the kind, the record's own name, and what else tells it from others.

    >>> binned_words({"kind": "pinion", "teeth": 28.0, "module": 0.396875})
    ('gear', 'pinion 28', '64 DP, module 0.397')
    """
    kind = kind_of_row(row)
    if kind == "gear":
        return "gear", f"{row['kind']} {shown(row['teeth'])}", pitch_words(row["module"])
    if kind == "load_log":
        kv = row.get("figures", {}).get("kv_rpm_per_v")
        return "load log", row["file"], "" if kv is None else f"KV {kv:.0f} at work"
    if kind == "setup_entry":
        return "change", row["what"], change_words(row)
    return "motor", row["name"], ""


def change_words(entry: Mapping[str, Any]) -> str:
    """What was changed, in a few words.

    >>> change_words({"what": "pinion", "was": "30", "now": "31"}), change_words({"what": "bearings", "now": "oiled"})
    ('pinion 30 to 31', 'bearings: oiled')
    """
    what, was, now = entry["what"], entry.get("was"), entry.get("now")
    if now:
        return f"{what} {was} to {now}" if was else f"{what}: {now}"
    return f"{what}, was {was}" if was else str(what)


def work_words(entry: Mapping[str, Any]) -> str:
    """A piece of work on a motor, as one says it was done.

    >>> work_words({"what": "bearings", "now": "cleaned"}), work_words({"what": "rotor", "was": "R5", "now": "R2"})
    ('bearings cleaned', 'rotor R5 to R2')
    """
    return change_words(entry).replace(": ", " ", 1)


def pitch_words(module_mm: float | None) -> str:
    """A pitch in both ways of writing it.

    >>> pitch_words(0.396875), pitch_words(0.5), pitch_words(None)
    ('64 DP, module 0.397', '50.8 DP, module 0.5', 'pitch unknown')
    """
    if module_mm is None:
        return "pitch unknown"
    return f"{dp_text(module_mm)} DP, module {module_text(module_mm)}"


def dp_text(module_mm: float) -> str:
    """The diametral pitch of a module, whole where it is.

    >>> dp_text(0.396875), dp_text(0.53)
    ('64', '47.9')
    """
    return shown(round(INCH_MM / module_mm, 1))


def module_text(module_mm: float) -> str:
    """A module with no digit more than it needs.

    >>> module_text(0.529166666)
    '0.529'
    """
    return shown(round(module_mm, 3))


def capital(text: str) -> str:
    """As a sentence begins.

    >>> capital("main A"), capital("")
    ('Main A', '')
    """
    return f"{text[:1].upper()}{text[1:]}"


def number_word(number: int) -> str:
    """Small numbers as words.

    >>> number_word(3), number_word(16)
    ('three', '16')
    """
    return _NUMBERS[number] if 0 <= number < len(_NUMBERS) else str(number)


def listed(names: list[str]) -> str:
    """Names in a sentence.

    >>> listed(["Whio", "Plover", "Siskin"])
    'Whio, Plover and Siskin'
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}" if names else ""


def counted_words(count: int, noun: str) -> str:
    """A count with its noun.

    >>> counted_words(1, "run"), counted_words(3, "run"), counted_words(2, "setup entry"), counted_words(0, "class")
    ('1 run', '3 runs', '2 setup entries', '0 classes')
    """
    if count == 1:
        return f"1 {noun}"
    return f"{count} {noun[:-1]}ies" if noun.endswith("ry") else f"{count} {noun}{'es' if noun.endswith('ss') else 's'}"


def kind_words(count: int, kind: str) -> str:
    """Records of one kind, counted.

    >>> kind_words(2, "setup_entry"), kind_words(1, "cooling")
    ('2 setup entries', '1 cooling reading')
    """
    if kind == "settings":
        return f"{counted_words(count, 'set')} of settings"
    return counted_words(count, "cooling reading" if kind == "cooling" else kind.replace("_", " "))


def gears_text(run: Mapping[str, Any]) -> str:
    """Pinion and spur as the trade writes them.

    >>> gears_text({"pinion": 31.0, "spur": 72.0}), gears_text({"spur": 72.0})
    ('31/72', '')
    """
    return f"{run['pinion']:.0f}/{run['spur']:.0f}" if {"pinion", "spur"} <= run.keys() else ""
