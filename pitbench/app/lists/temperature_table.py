"""What Temperature draws: where motors stand, the plan with the keys that change it, and the table of its pinions."""

from collections.abc import Callable
from functools import partial

from pitbench.app.actions import BY_ID
from pitbench.app.widgets.paint import Line, Role, Span, fitted, line
from pitbench.app.widgets.table import Cell, Column, Table
from pitbench.desk.forecasting.forecast import Planned
from pitbench.desk.forecasting.temperature import Standing
from pitbench.desk.forecasting.temperature_plan import PlanAnswer, PlanLine
from pitbench.records.laps import time_text
from pitbench.records.units import Units
from pitbench.words.forecast import between
from pitbench.words.temperature import StandingCells, chance_cell, more_than

PLAN_STEPS = ("pinion", "spur", "length", "ambient", "timing-mark", "tyre")
"""Stems of the actions that change the plan."""
FIELD_WIDTH, TITLE_WIDTH, WIDE = 10, 20, 90
ALLOWED = 0.10
"""More than this chance over the limit is marked: the one the longest rollout keeps to."""


def motor_columns(at: str, width: int) -> tuple[Column[StandingCells], ...]:
    return (
        Column("motor", 10 if width < WIDE else 24, lambda s: s.motor),
        Column("run", 11, lambda s: s.run),
        Column("ended", 5, lambda s: s.ended),
        Column("at", 9, lambda s: partial(_close, s.at)),
        Column("now", 13, lambda s: lambda room: (_close(s.now, room), "bad" if s.hot else "text")),
        Column("cool by", 7, lambda s: s.cool_at),
        Column(f"at {at}", 9, lambda s: partial(_close, s.at_start)),
    )


def _close(told: str, room: int) -> str:
    """A temperature with its margin, and that the can is hot, whole: without blanks in it where there is no room.

    >>> _close("59 ±7 °C hot", 13), _close("108 ±28 °C hot", 13)
    ('59 ±7 °C hot', '108±28°C hot')
    """
    return told if len(told) <= room else told.replace(" ±", "±").replace(" °", "°")


def plan_lines(marked: Standing, plan: Planned, units: Units, width: int, keys: Callable[[str], str]) -> list[Line]:
    """The plan as a small table, and the keys that change it; `keys` names those of a step."""
    rollout = f"{units.short('max_rollout_mm', plan.rollout_mm)} {units.length}"
    steps = [(stem, BY_ID[f"{stem}-up"]) for stem in PLAN_STEPS]
    shown = [(step.footer, _cell(plan, str(step.of[0]), units), keys(stem)) for stem, step in steps]
    columns = [*(shown if width >= WIDE else shown[:-1]), ("rollout", rollout, "")]
    roles: tuple[Role, ...] = ("quiet", "strong", "accent")
    each_width = min(FIELD_WIDTH, (width - TITLE_WIDTH - 2) // len(columns))
    drawn = []
    for at, (title, role) in enumerate(zip((f"   PLAN for {marked.motor}", "", ""), roles, strict=True)):
        cells = [(fitted(each[at], each_width, "right"), role) for each in columns]
        drawn.append(line((fitted(title, TITLE_WIDTH), "strong"), *cells))
    return drawn


def _cell(plan: Planned, field: str, units: Units) -> str:
    value = getattr(plan, field)
    if value is None:
        return "·"
    if field == "length_s":
        return time_text(int(value))
    if field == "ambient_c":
        return units.degrees(value)
    if field == "tyre_diameter_mm":
        return f"{units.short(field, value)} {units.length}"
    return f"{value:g}°" if field == "timing_mark_deg" else f"{value:g}"


def plan_table(answer: PlanAnswer, ceiling: float, units: Units, width: int) -> list[Line]:
    """Every pinion of the answer: rollout, where it comes in, and the chance over the limit."""
    table = Table(plan_columns(f"over {units.degrees(ceiling)}", units), width)
    marks: dict[bool, Span] = {True: (" ▸ ", "accent"), False: ("   ", "accent")}
    return [*table.heads(), *((marks[each.planned], *table.row(each)) for each in answer.lines)]


def plan_columns(over: str, units: Units) -> tuple[Column[PlanLine], ...]:
    def role(each: PlanLine) -> Role:
        return "accent" if each.planned else "text"

    def pinion(each: PlanLine) -> Cell:
        return (f"! {each.pinion:g}", "bad") if each.illegal else (f"{each.pinion:g}", role(each))

    def range_of(low: float, high: float) -> str:
        return between(low, high, units).removesuffix(f" °{units.temperature}")

    def chance(each: PlanLine) -> Cell:
        return chance_cell(each, ALLOWED), "warn" if more_than(each.chance_over, ALLOWED) else role(each)

    return (
        Column("pinion", 6, pinion, "right"),
        Column(
            "rollout",
            10,
            lambda each: (f"{units.short('max_rollout_mm', each.rollout_mm)} {units.length}", role(each)),
            "right",
        ),
        Column("comes in at", 12, lambda each: (units.degrees(each.finish.median), role(each)), "right"),
        Column("half of them", 13, lambda each: range_of(each.finish.low50, each.finish.high50), "right"),
        Column("nine in ten", 12, lambda each: range_of(each.finish.low90, each.finish.high90), "right"),
        Column(over, 12, chance, "right"),
    )
