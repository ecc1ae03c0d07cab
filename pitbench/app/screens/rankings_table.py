"""The table of Rankings: its columns, a row a motor, and those that are not ranked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import Line, line
from pitbench.app.widgets.table import Column, Table

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, RankAnswer, RankedMotor
    from pitbench.desk.units import Units

COLUMNS = (
    Column("power|at load %", 9, "right"),
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
MARKS = (("no_resistance", "! no R"), ("run_does_not_fit", "! run"), ("one_run", "! 1 run"), ("drift", "! drift"))


def columns_of(answer: RankAnswer, several_classes: bool) -> list[Column]:
    """The first is headed by the class where there are several, else by what caps gearing; then by the timing."""
    deg = answer.basis.timing_deg
    timing = "timing not equalised" if deg is None else f"all at {deg:.1f}° timing"
    upper = answer.class_ or "no class named" if several_classes else CAPS[answer.gearing_limit]
    return [Column(f"{upper}|{timing}", 20, grow=True), *COLUMNS]


def rows_of(answer: RankAnswer, table: Table, units: Units) -> tuple[list[str | None], list[Line]]:
    """Every motor of the class with its line; those not ranked have no name for the mark to stand on."""
    from pitbench.desk.words import not_ranked_words

    keys: list[str | None] = [motor.motor for motor in answer.motors] + [None] * len(answer.not_ranked)
    drawn = [_row(answer, motor, table, units) for motor in answer.motors]
    for other in answer.not_ranked:
        drawn.append(line((f"·  {other.motor}   not ranked: {not_ranked_words(other.why)}", "quiet")))
    return keys, drawn


def _row(answer: RankAnswer, motor: RankedMotor, table: Table, units: Units) -> Line:
    from pitbench.desk.words import score_and_chance

    figures = motor.figures
    score, chance = score_and_chance(answer, motor)
    mark = next((words for flag, words in MARKS if flag in motor.flags), "")
    if not mark and "check_motor" in motor.flags:
        mark = "check"
    name = f"{motor.place:<3}{motor.motor}"
    return table.row(
        [
            (f"{name} {mark}" if mark else name, "accent" if motor.place == 1 else "text"),
            score,
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


def _runs(figures: dict[str, FigureOf]) -> str:
    """How many bench runs and track runs it stands on."""
    bench = figures["kv_rpm_per_v"].runs or figures["no_load_current_a"].runs
    return f"{bench:>2}  {figures['track_pace_s'].runs or '·':>2}"


def _warmth(figure: FigureOf, units: Units) -> str:
    return "·" if figure.mean is None else units.degrees(figure.mean)


def _number(figure: FigureOf, decimals: int) -> str:
    return "·" if figure.mean is None else f"{figure.mean:.{decimals}f}"
