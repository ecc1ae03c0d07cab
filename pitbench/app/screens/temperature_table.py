"""What Temperature draws: where motors stand, the plan with the keys that change it, and the table of its pinions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import Line, Role, Span, fitted, line
from pitbench.app.widgets.table import Column, Table

if TYPE_CHECKING:
    from pitbench.desk.forecasting.forecast import Planned
    from pitbench.desk.forecasting.temperature import Standing
    from pitbench.desk.forecasting.temperature_plan import PlanAnswer, PlanLine
    from pitbench.records.units import Units

PLAN_COLUMNS = (
    Column("pinion", 6, "right"),
    Column("rollout", 10, "right"),
    Column("comes in at", 12, "right"),
    Column("half of them", 13, "right"),
    Column("nine in ten", 12, "right"),
    Column("over", 12, "right"),
)
PLAN_FIELDS = (
    ("pinion", "pinion", "pinion"),
    ("spur", "spur", "spur"),
    ("length", "length_s", "length"),
    ("ambient", "ambient_c", "ambient"),
    ("timing-mark", "timing_mark_deg", "mark"),
    ("tyre", "tyre_diameter_mm", "tyre"),
)
"""Stem of the two action ids, field of the plan, head."""
FIELD_WIDTH, TITLE_WIDTH, WIDE = 10, 20, 90
ALLOWED = 0.10
"""More than this chance over the limit is marked: the one the longest rollout keeps to."""


def motor_columns(at: str, width: int) -> tuple[Column, ...]:
    return (
        Column("motor", 10 if width < WIDE else 24),
        Column("run", 11),
        Column("ended", 5),
        Column("at", 9),
        Column("now", 13),
        Column("cool at", 7),
        Column(f"at {at}", 9),
    )


def plan_lines(marked: Standing, plan: Planned, units: Units, width: int, keys: Callable[[str], str]) -> list[Line]:
    """The plan as a small table, and the keys that change it; `keys` names those of a step."""
    rollout = f"{units.short('max_rollout_mm', plan.rollout_mm)} {units.length}"
    shown = [(head, _cell(plan, field, units), keys(stem)) for stem, field, head in PLAN_FIELDS]
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
        return f"{int(value) // 60}:{int(value) % 60:02d}"
    if field == "ambient_c":
        return units.degrees(value)
    if field == "tyre_diameter_mm":
        return f"{units.short(field, value)} {units.length}"
    return f"{value:g}°" if field == "timing_mark_deg" else f"{value:g}"


def plan_table(answer: PlanAnswer, ceiling: float, units: Units, width: int) -> list[Line]:
    """Every pinion of the answer: rollout, where it comes in, and the chance over the limit."""
    over = f"over {units.degrees(ceiling)}"
    columns = tuple(replace(each, head=over) if each.head == "over" else each for each in PLAN_COLUMNS)
    table = Table(columns, width)
    return [*table.heads(), *(_plan_row(table, each, units) for each in answer.lines)]


def _plan_row(table: Table, each: PlanLine, units: Units) -> Line:
    from pitbench.words.forecast import between
    from pitbench.words.temperature import chance_cell

    finish = each.finish
    role: Role = "accent" if each.planned else "text"
    over: Role = "warn" if each.chance_over > ALLOWED else role
    pinion: Span = (f"! {each.pinion:g}", "bad") if each.illegal else (f"{each.pinion:g}", role)
    cells = table.row(
        [
            pinion,
            (f"{units.short('max_rollout_mm', each.rollout_mm)} {units.length}", role),
            (units.degrees(finish.median), role),
            between(finish.low50, finish.high50, units).removesuffix(f" °{units.temperature}"),
            between(finish.low90, finish.high90, units).removesuffix(f" °{units.temperature}"),
            (chance_cell(each, ALLOWED), over),
        ]
    )
    return line((" ▸ " if each.planned else "   ", "accent"), *cells)
