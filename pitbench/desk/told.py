"""What a setup entry and a track run say of the same thing: the pinion is told once, in either of them.

Which field of a run an entry tells, the value it says it has now, and whether a run agrees with it. Asked here and
nowhere else. Rows are plain dicts as stored.
"""

import re
from collections.abc import Mapping
from typing import Any

from pitbench.desk.states import PARTS, is_motor_work
from pitbench.records.fields import NAME, NUMBER, RECORDS
from pitbench.records.kinds import Row
from pitbench.records.names import clean_text, name_key
from pitbench.records.reading import Day
from pitbench.records.stamps import moment
from pitbench.records.typed import label_of, read_field
from pitbench.records.units import Units

_ROLLOUT = ("pinion", "spur", "internal_ratio", "tyre_diameter_mm")
TELLING = (*_ROLLOUT, "tyre", "timing_mark_deg", "esc_timing_deg", "fan", "pack")
"""Fields of a track run that an entry may tell."""
OF_THE_MOTOR = ("pinion", "timing_mark_deg")
"""They go with the motor from car to car: the pinion is on its shaft."""
_OF_RUN = {datum.name: datum for datum in RECORDS["track_run"]}
_CALLED = {name_key(label_of(name)): name for name in TELLING} | {
    "tyres": "tyre",
    "tire": "tyre",
    "tires": "tyre",
    "tire diameter": "tyre_diameter_mm",
    "mark": "timing_mark_deg",
    "pinion gear": "pinion",
    "spur gear": "spur",
    "motor fan": "fan",
}
CALLED = tuple(label_of(name) for name in TELLING)
"""What entries call them, first of all."""
_BOTH_GEARS = ("gears", "gearing", "gear")
_GEARS = re.compile(r"(\d{1,3})\s*/\s*(\d{1,3})")
_TEETH = re.compile(r"\s*(?:t|z|tooth|teeth)$", re.IGNORECASE)
_LENGTH = re.compile(r"\d\s*(?:mm|in|inch|\")$", re.IGNORECASE)
_HAIR = 1e-6
_NEW_SET = 0.05
"""Millimetres by which tyres do not grow."""


def fields_named(what: str, now: str = "") -> tuple[str, ...]:
    """The fields of a track run that an entry with this `what` tells; none for a spring.

    >>> fields_named("Pinion"), fields_named("tyres", "62.5 mm"), fields_named("gearing"), fields_named("rear spring")
    (('pinion',), ('tyre_diameter_mm',), ('pinion', 'spur'), ())
    """
    key = name_key(what)
    if key in _BOTH_GEARS:
        return ("pinion", "spur")
    name = _CALLED.get(key)
    if name == "tyre" and _LENGTH.search(clean_text(now)):
        return ("tyre_diameter_mm",)
    return (name,) if name else ()


def changes_rollout(entry: Mapping[str, Any]) -> bool:
    """Whether an entry changes how far the car moves in a motor turn: it is judged at its own rollout.

    >>> changes_rollout({"what": "Pinion"}), changes_rollout({"what": "timing mark"})
    (True, False)
    """
    return not set(_ROLLOUT).isdisjoint(fields_named(entry["what"], entry.get("now", "")))


def things(entry: Mapping[str, Any]) -> frozenset[str]:
    """What an entry is about: the fields it tells, else its own `what`; two that share one are about the same."""
    return frozenset(fields_named(entry["what"], entry.get("now", "")) or (name_key(entry["what"]),))


def told(entry: Row, units: Units) -> Row:
    """Fields of a track run as the entry says they are now; what cannot be read is not told.

    >>> told({"what": "gears", "now": "31/72", "written_at": "2026-05-17"}, Units())
    {'pinion': 31.0, 'spur': 72.0}
    >>> told({"what": "pinion", "now": "39T", "written_at": "2026-05-17"}, Units())
    {'pinion': 39.0}
    >>> told({"what": "pinion", "now": "one up", "written_at": "2026-05-17"}, Units())
    {}
    """
    now = clean_text(entry.get("now", ""))
    names = fields_named(entry["what"], now)
    both = _GEARS.fullmatch(now)
    if both and set(names) & {"pinion", "spur"}:
        return {"pinion": float(both[1]), "spur": float(both[2])}
    if len(names) != 1:
        return {}
    datum = _OF_RUN[names[0]]
    text = _TEETH.sub("", now) if datum.whole else now
    try:
        value = read_field(datum, text, units, Day(moment(entry["written_at"])))
    except ValueError:
        return {}
    return {} if value is None else {datum.name: value}


def changed_text(name: str, entry: Row, value: Any, before: Any) -> Any:
    """A value as the form has it: of a name, what the entry calls `set 3` after `set 2` takes its place in what stood.

    >>> changed_text("tyre", {"was": "set 2"}, "set 3", "club rubber, set 2")
    'club rubber, set 3'
    """
    if _OF_RUN[name].form != NAME or not before:
        return value
    if agrees(name, before, value):
        return before
    was = clean_text(entry.get("was", ""))
    at = before.casefold().find(was.casefold()) if was else -1
    return value if at < 0 else before[:at] + value + before[at + len(was) :]


def agrees(name: str, value: Any, said: Any) -> bool:
    """Whether a run with this value was made with what was said on the car. Tyres wear, so they are smaller later.

    >>> agrees("pinion", 31.0, 31.0), agrees("tyre", "club rubber, set 3", "Set 3"), agrees("tyre", "set 30", "set 3")
    (True, True, False)
    >>> agrees("tyre_diameter_mm", 62.3, 62.5), agrees("tyre_diameter_mm", 63.0, 62.5)
    (True, False)
    """
    if name == "tyre_diameter_mm":
        return bool(value <= said + _NEW_SET)
    if _OF_RUN[name].form == NUMBER:
        return bool(abs(value - said) < _HAIR)
    if _OF_RUN[name].form == NAME:
        return re.search(rf"(?<!\w){re.escape(name_key(said))}(?!\w)", name_key(value)) is not None
    return bool(value == said)


def contradicts(run: Row, said: Row) -> bool:
    """Whether a run says it was made with something else on."""
    return any(name in run and not agrees(name, run[name], value) for name, value in said.items())


def goes_with_motor(entry: Row) -> bool:
    """Whether a change is about the motor it names, and not about the car, whichever motor is in it."""
    about = things(entry)
    return "car_id" not in entry or is_motor_work(entry) or not about.isdisjoint((*OF_THE_MOTOR, *PARTS))
