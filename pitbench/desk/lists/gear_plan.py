"""The gearing being looked at: pinion, spur, internal ratio and tyre, from the last track run, changed key by key.

Nothing of it is stored; a track run is written down elsewhere. What the class allows comes with it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pitbench.desk.answered import answered
from pitbench.desk.builds import in_order
from pitbench.desk.classes import first_class
from pitbench.desk.gears import stepped
from pitbench.desk.named import class_sheet_of, named
from pitbench.figures.gearing import Drive
from pitbench.records.kinds import Row, Source
from pitbench.records.names import clean_text
from pitbench.records.typed import read_all, refuse, sentences
from pitbench.records.units import Units

NUMBERS = ("pinion", "spur", "internal_ratio", "tyre_diameter_mm")
ASSUMED = {"pinion": 30.0, "spur": 72.0, "internal_ratio": 1.0, "tyre_diameter_mm": 60.0}
"""Stand in until a track run says better, and are named as assumed. Ours."""


@dataclass(frozen=True)
class GearPlan:
    """One pinion on one spur in today's car; `assumed` are the numbers nobody wrote down."""

    pinion: float
    spur: float
    internal_ratio: float
    tyre_diameter_mm: float
    motor: str = ""
    class_name: str = ""
    max_rollout_mm: float | None = None
    min_fdr: float | None = None
    assumed: tuple[str, ...] = ()

    def drive(self) -> Drive:
        """What the figures need besides the teeth."""
        return Drive(self.tyre_diameter_mm, self.internal_ratio, self.max_rollout_mm, self.min_fdr)


def first_gearing(snapshot: Source) -> GearPlan:
    """As the newest track run was geared; what it does not say, from the newest one of its car that does."""
    runs = sorted(map(answered, snapshot.rows("track_run")), key=in_order, reverse=True)
    newest: Row = runs[0] if runs else {}
    own = [run for run in runs if run.get("car_id") == newest.get("car_id")]
    numbers = {name: next((run[name] for run in own if name in run), None) for name in NUMBERS}
    motor = (snapshot.row("motor", newest["motor_id"]) or {}) if newest else {}
    sheet = _class_sheet(snapshot, motor)
    return GearPlan(
        **{name: ASSUMED[name] if value is None else value for name, value in numbers.items()},
        motor=motor.get("name", ""),
        class_name=sheet.get("name", ""),
        max_rollout_mm=sheet.get("max_rollout_mm"),
        min_fdr=sheet.get("min_fdr"),
        assumed=tuple(name for name, value in numbers.items() if value is None),
    )


def _class_sheet(snapshot: Source, motor: Row) -> Row:
    """The class of the motor that was run; before any run, the class last worked on."""
    if motor:
        return class_sheet_of(snapshot, motor)
    return named(snapshot, "class_sheet", first_class(snapshot)) or {}


def stepped_gearing(plan: GearPlan, name: str, by: int) -> GearPlan:
    """One step more or less of one number; at the end of what is possible, the plan as it was."""
    before = getattr(plan, name)
    value = stepped(name, before, by)
    return plan if value == before else _with(plan, name, value)


def _with(plan: GearPlan, name: str, value: float) -> GearPlan:
    changes: dict[str, Any] = {name: value, "assumed": tuple(other for other in plan.assumed if other != name)}
    return replace(plan, **changes)


def geared(plan: GearPlan, pinion: float, spur: float) -> GearPlan:
    """The plan on another set."""
    return _with(_with(plan, "pinion", pinion), "spur", spur)


def plan_texts(plan: GearPlan, units: Units) -> dict[str, str]:
    """The plan's numbers as a form shows them; assumed ones are left blank."""
    return {name: "" if name in plan.assumed else units.typed(name, getattr(plan, name)) for name in NUMBERS}


def plan_problems(texts: Mapping[str, str], units: Units) -> dict[str, str]:
    """What cannot be read, a sentence a field."""
    return sentences(texts, _read(texts, units)[1])


def typed_plan(plan: GearPlan, texts: Mapping[str, str], units: Units) -> GearPlan:
    """The plan with the numbers typed; a blank one stays as it was."""
    numbers, wrong = _read(texts, units)
    refuse(sentences(texts, wrong))
    for name, value in numbers.items():
        plan = _with(plan, name, value)
    return plan


def _read(texts: Mapping[str, str], units: Units) -> tuple[dict[str, float], dict[str, str]]:
    return read_all(texts, texts, lambda name, text: units.read(name, text) if clean_text(text) else None)
