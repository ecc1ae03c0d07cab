"""The table of Rankings: its columns, a row a motor, and those that are not ranked."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import Line, fitted, line
from pitbench.app.widgets.table import Column, Table, with_margin

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, RankAnswer, RankedMotor
    from pitbench.records.units import Units

POWER, SCORE = Column("power|at load %", 9, "right"), Column("weighed|score %", 9, "right")
COLUMNS = (
    Column("KV|rpm/V", 5, "right"),
    Column("current|A", 7, "right"),
    Column("winding|mΩ", 7, "right"),
    Column("runs|b   t", 6, "right"),
    Column("chance of|being best", 10, "right", role="strong"),
    Column("speed|per amp", 7, "right", from_width=100),
    Column("spread|°", 6, "right", from_width=108),
    Column("poles|uneven %", 8, "right", from_width=118),
    Column("Hall level|spread %", 10, "right", from_width=130),
    Column("pace|s a lap", 8, "right", from_width=142),
    Column("comes|in at", 7, "right", from_width=152),
)
"""Runs: b on the bench, t on the track."""
CAPS = {
    "none": "gearing is free",
    "heat": "temperature caps it",
    "rules": "rules cap gearing",
    "gears": "own gears cap it",
    "unknown": "gearing cap unknown",
}
MARKS = {
    "run_does_not_fit": "run",
    "no_resistance": "no R",
    "one_run": "1 run",
    "drift": "drift",
    "voltage_assumed": "no V",
    "no_timing": "no timing",
}
"""What flags a motor, the weightiest first."""


def columns_of(answer: RankAnswer, several_classes: bool) -> list[Column]:
    """The first is headed by the class where there are several, else by what caps gearing; then by the timing."""
    from pitbench.words.ranking import weighed

    deg = answer.basis.timing_deg
    timing = "timing not equalised" if deg is None else f"all at {deg:.1f}° timing"
    upper = answer.class_ or "no class named" if several_classes else CAPS[answer.gearing_limit]
    return [Column(f"{upper}|{timing}", 20, grow=True), SCORE if weighed(answer) else POWER, *COLUMNS]


def rows_of(
    answer: RankAnswer, table: Table, units: Units, doubtful: Collection[str] = ()
) -> tuple[list[str | None], list[Line]]:
    """Every motor of the class with its line; those not ranked have no name for the mark to stand on.

    doubtful: names of motors with a plainly odd run, flagged or not.
    """
    from pitbench.words.ranking import not_ranked_words

    keys: list[str | None] = [motor.motor for motor in answer.motors] + [None] * len(answer.not_ranked)
    drawn = [_row(answer, motor, table, units, motor.motor in doubtful) for motor in answer.motors]
    for other in answer.not_ranked:
        drawn.append(line((f"·  {other.motor}   not ranked: {not_ranked_words(other.why)}", "quiet")))
    return keys, drawn


def _row(answer: RankAnswer, motor: RankedMotor, table: Table, units: Units, doubtful: bool) -> Line:
    from pitbench.words.ranking import score_and_chance

    figures = motor.figures
    score, chance = score_and_chance(answer, motor)
    mean, _, margin = score.partition(" ±")
    name = f"{motor.place:<3}{motor.motor}"
    flags = {*motor.flags, *(["run_does_not_fit"] if doubtful else [])}
    return table.row(
        [
            (_marked(name, flags, table.width_of(0)), "accent" if motor.place == 1 else "text"),
            with_margin(mean, margin, POWER.width) if margin else score,
            _number(figures["kv_rpm_per_v"], 0),
            _number(figures["no_load_current_a"], 2),
            _number(figures["resistance_mohm"], 1),
            _runs(figures),
            chance,
            _number(figures["speed_per_amp"], 0),
            _number(figures["sensor_spread_deg"], 1),
            _number(figures["pole_imbalance_pct"], 1),
            _number(figures["hall_level_spread_pct"], 1),
            _number(figures["track_pace_s"], 2),
            _warmth(figures["finish_temp_c"], units),
        ]
    )


def _marked(name: str, flags: Collection[str], width: int) -> str:
    """A name with all its marks where they fit, else with the first and how many more there are; a mark is never cut.

    >>> _marked("1  Wren", ["no_timing", "no_resistance", "run_does_not_fit"], 20)
    '1  Wren ! run +2'
    """
    marks = [words for flag, words in MARKS.items() if flag in flags]
    last = ["check"] if "check_motor" in flags else []
    if not marks:
        return f"{name} check" if last else name
    whole = f"! {', '.join([*marks, *last])}"
    more = len(marks) + len(last) - 1
    mark = whole if len(name) + 1 + len(whole) <= width else f"! {marks[0]}{f' +{more}' if more else ''}"
    return f"{name if len(name) + 1 + len(mark) <= width else fitted(name, width - 1 - len(mark))} {mark}"


def _runs(figures: dict[str, FigureOf]) -> str:
    """How many bench runs and track runs it stands on."""
    bench = figures["kv_rpm_per_v"].runs or figures["no_load_current_a"].runs
    return f"{bench:>2}  {figures['track_pace_s'].runs or '·':>2}"


def _warmth(figure: FigureOf, units: Units) -> str:
    return "·" if figure.mean is None else units.degrees(figure.mean)


def _number(figure: FigureOf, decimals: int) -> str:
    return "·" if figure.mean is None else f"{figure.mean:.{decimals}f}"
