"""The plan for the next run, changed key by key, and its table: what it comes in at on this pinion and its neighbours.

The fit stands in `heat`; nothing here learns anything, so a key is answered within a frame.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from pitbench.desk import track_figures
from pitbench.desk.answers import Temperatures
from pitbench.desk.forecasting.forecast import Planned, asked_of, planned, temperatures
from pitbench.desk.forecasting.heat import Heat
from pitbench.desk.gears import STEPS, own_gears, stepped
from pitbench.desk.named import class_sheet_of
from pitbench.figures.gearing import Drive, GearSet, all_sets, gear_set, same_pitch
from pitbench.records.kinds import Row, Source
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.figures.forecast import Plan
    from pitbench.figures.heat_fit import HeatFit


@dataclass(frozen=True)
class PlanLine:
    """One pinion on the planned spur: where it comes in, the chance over the limit, and what the class says of it."""

    pinion: float
    rollout_mm: float
    finish: Temperatures
    chance_over: float
    planned: bool
    owned: bool
    illegal: str


@dataclass(frozen=True)
class PlanAnswer:
    """The table, the longest rollout that keeps to the chance allowed, the own sets under it, and what it stands on.

    changed: name of the motor and the run that says that something has changed, where one is flagged.
    """

    lines: tuple[PlanLine, ...]
    here: PlanLine
    longest_mm: float | None
    sets: tuple[GearSet, ...]
    owns_gears: bool
    flags: tuple[str, ...]
    changed: tuple[str, Row] | None
    track_runs: int
    same_motor: int

    @property
    def longer(self) -> PlanLine | None:
        """The next longer gearing of the table."""
        return next((line for line in self.lines if line.rollout_mm > self.here.rollout_mm), None)


def first_plan(source: Source, heat: Heat, motor_id: str) -> Planned | None:
    """As the motor was run last, in the air of the newest run; a motor without a run as the newest run of the class.

    Air and length a hurried run leaves out are those of the newest run that tells them. None: no run tells gears, tyre
    and air.
    """
    if not heat.runs:
        return None
    newest, given = heat.runs[-1], dict[str, Any]()
    own = heat.of_motor(motor_id)
    given["ambient_c"] = _newest(None if air != air else float(air) for air in heat.columns.ambient_c)
    given["length_s"] = _newest(track_figures.length_of(run) for run in (*heat.runs, *own))
    if not own:
        names = ("pinion", "spur", "internal_ratio", "tyre_diameter_mm")
        given |= {name: newest[name] for name in names if name in newest}
    try:
        plan = planned(source, motor_id, heat, given)
    except Refusal:
        return None
    step = STEPS["length_s"]  # the last lap took it a little over
    return replace(plan, length_s=max(step, step * round(plan.length_s / step)))


def left_open(heat: Heat, motor_id: str) -> list[str]:
    """What the track runs do not tell that `first_plan` needs, by field."""
    own = heat.of_motor(motor_id)
    last = (own or heat.runs)[-1] if heat.runs else {}
    missing = [name for name in ("pinion", "spur", "tyre_diameter_mm") if name not in last]
    if all(air != air for air in heat.columns.ambient_c):
        missing.append("ambient_c")
    if all(track_figures.length_of(run) is None for run in (*heat.runs, *own)):
        missing.append("length_s")
    return missing


def _newest(values: Iterable[float | None]) -> float | None:
    """The last of them that is known."""
    return next((value for value in reversed(list(values)) if value is not None), None)


def stepped_plan(plan: Planned, name: str, by: int) -> Planned:
    """One step more or less of one number; a number that is not known has none."""
    value = getattr(plan, name)
    changes: dict[str, Any] = {} if value is None else {name: stepped(name, value, by)}
    return replace(plan, **changes)


def plan_answer(source: Source, heat: Heat, plan: Planned, ceiling_c: float, most: int = 7) -> PlanAnswer:
    """Everything the Temperature screen says of a plan, with at most so many lines in its table."""
    from pitbench.figures.forecast import forecasts

    fit = heat.fit_for(plan.rollout_mm)
    drive, owned, gears = _drive(source, plan), _owned(source, plan), own_gears(source)
    sets = all_sets(gears["pinion"], gears["spur"], drive)
    pinions = _pinions(plan, owned, most)
    plans = [replace(plan, pinion=float(pinion)) for pinion in pinions]
    found = forecasts(fit, [asked_of(heat, each) for each in plans], ceiling_c)
    lines = tuple(
        PlanLine(
            pinion=each.pinion,
            rollout_mm=each.rollout_mm,
            finish=temperatures(forecast.finish),
            chance_over=forecast.chance_over,
            planned=each.pinion == plan.pinion,
            owned=each.pinion in owned,
            illegal=_illegal(each, drive),
        )
        for each, forecast in zip(plans, found, strict=True)
    )
    here = next(line for line in lines if line.planned)
    longest = _longest(heat, fit, asked_of(heat, plan), ceiling_c)
    under = [each for each in sets if longest is not None and each.rollout_mm <= longest]
    flags = found[pinions.index(int(plan.pinion))].flags
    return PlanAnswer(
        lines=lines,
        here=here,
        longest_mm=longest,
        sets=tuple(sorted(under, key=lambda each: (not each.legal, -each.rollout_mm))),
        owns_gears=bool(sets),
        flags=flags,
        changed=_changed(source, heat, fit) if "something_changed" in flags else None,
        track_runs=int(fit.used.sum()),
        same_motor=fit.of_motor(heat.motors.get(plan.motor_id)),
    )


def _changed(source: Source, heat: Heat, fit: "HeatFit") -> tuple[str, Row] | None:
    """The run that was out of its band, and the name of its motor."""
    if fit.change is None:
        return None
    run = [run for run, used in zip(heat.runs, fit.used.tolist(), strict=True) if used][fit.change.at]
    return (source.row("motor", run["motor_id"]) or {}).get("name", "?"), run


def _longest(heat: Heat, fit: "HeatFit", asked: "Plan", ceiling_c: float) -> float | None:
    """The longest rollout, worked out anew only when something besides the gears has changed."""
    from pitbench.figures.forecast import ALLOWED, longest_rollout

    key = (replace(asked, rollout_mm=fit.rollout_ref_mm), ceiling_c)
    if key not in heat.longest:
        heat.longest[key] = longest_rollout(fit, asked, ceiling_c, ALLOWED)
    return heat.longest[key]


def _pinions(plan: Planned, owned: frozenset[float], most: int) -> list[int]:
    """The planned pinion, one or two below it and more above it: own ones where there are any, else every tooth."""
    planned = int(plan.pinion)
    known = sorted({int(teeth) for teeth in owned} or set(range(max(1, planned - most), planned + most)))
    below, above = [teeth for teeth in known if teeth < planned], [teeth for teeth in known if teeth > planned]
    under = below[-max(1, (most - 1) // 3) :] if below else []
    over = above[: most - 1 - len(under)]
    under = below[-max(1, most - 1 - len(over)) :] if below else []
    return [*under, planned, *over]


def _owned(source: Source, plan: Planned) -> frozenset[float]:
    """Own pinions that mesh with an own spur of the planned size; all of them where that spur is not written down."""
    gears = source.rows("gear")
    spurs = [gear["module"] for gear in gears if gear["kind"] == "spur" and gear["teeth"] == plan.spur]
    return frozenset(
        gear["teeth"]
        for gear in gears
        if gear["kind"] == "pinion" and (not spurs or any(same_pitch(gear["module"], each) for each in spurs))
    )


def _drive(source: Source, plan: Planned) -> Drive:
    sheet = class_sheet_of(source, source.row("motor", plan.motor_id) or {})
    return Drive(plan.tyre_diameter_mm, plan.internal_ratio, sheet.get("max_rollout_mm"), sheet.get("min_fdr"))


def _illegal(plan: Planned, drive: Drive) -> str:
    """What the class sheet says against a set; empty if nothing."""
    found = gear_set(int(plan.pinion), int(plan.spur), drive)
    if found.over_rollout is not None:
        return "rollout too long"
    return "FDR too low" if found.under_fdr is not None else ""
