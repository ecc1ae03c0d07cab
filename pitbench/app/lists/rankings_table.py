"""The table of Rankings: its columns, a row a motor, and those that are not ranked."""

from collections.abc import Callable, Collection

from pitbench.app.widgets.paint import Line, Role, fitted, line
from pitbench.app.widgets.table import Cell, Column, Table, number, with_margin
from pitbench.desk.answers import RankAnswer, RankedMotor
from pitbench.records.units import Units
from pitbench.words.ranking import not_ranked_words, score_and_chance, weighed

CAPS = {
    "none": "gearing is free",
    "heat": "temperature caps it",
    "rules": "rules cap gearing",
    "gears": "own gears cap it",
    "unknown": "gearing cap unknown",
}
MARKS = {
    "number_waits": "waits",
    "run_does_not_fit": "run",
    "no_resistance": "no R",
    "resistance_from_log": "R by log",
    "one_run": "1 run",
    "drift": "drift",
    "voltage_assumed": "no V",
    "no_timing": "no timing",
}
"""What flags a motor, the weightiest first."""


def columns_of(
    answer: RankAnswer, several_classes: bool, units: Units, doubtful: Collection[str] = ()
) -> list[Column[RankedMotor]]:
    """The first is headed by the class where there are several, else by what caps gearing; then by the timing.

    doubtful: names of motors with a plainly odd run, flagged or not. Runs: b on the bench, t on the track.
    """
    deg = answer.basis.timing_deg
    timing = "timing not equalised" if deg is None else f"all at {deg:.1f}° timing"
    upper = answer.class_ or "no class named" if several_classes else CAPS[answer.gearing_limit]

    def name(motor: RankedMotor) -> Callable[[int], Cell]:
        flags = {*motor.flags, *(["run_does_not_fit"] if motor.motor in doubtful else [])}
        role: Role = "accent" if motor.place == 1 else "text"
        return lambda room: (_marked(f"{motor.place:<3}{motor.motor}", flags, room), role)

    def score(motor: RankedMotor) -> str | Callable[[int], str]:
        mean, _, margin = score_and_chance(answer, motor)[0].partition(" ±")
        return with_margin(mean, margin) if margin else mean

    def mean(figure: str, decimals: int) -> Callable[[RankedMotor], str]:
        return lambda motor: number(motor.figures[figure].mean, decimals)

    def chance(motor: RankedMotor) -> str:
        return score_and_chance(answer, motor)[1]

    def comes_in(motor: RankedMotor) -> str:
        finish = motor.figures["finish_temp_c"].mean
        return "·" if finish is None else units.degrees(finish)

    return [
        Column(f"{upper}|{timing}", 20, name, grow=True),
        Column("weighed|score %" if weighed(answer) else "power|at load %", 9, score, "right"),
        Column("KV|rpm/V", 5, mean("kv_rpm_per_v", 0), "right"),
        Column("current|A", 7, mean("no_load_current_a", 2), "right"),
        Column("winding|mΩ", 7, mean("resistance_mohm", 1), "right"),
        Column("runs|b   t", 6, _runs, "right"),
        Column("chance of|being best", 10, chance, "right", role="strong"),
        Column("speed|per amp", 7, mean("speed_per_amp", 0), "right", from_width=100),
        Column("spread|°", 6, mean("sensor_spread_deg", 1), "right", from_width=108),
        Column("poles|uneven %", 8, mean("pole_imbalance_pct", 1), "right", from_width=118),
        Column("Hall level|spread %", 10, mean("hall_level_spread_pct", 1), "right", from_width=130),
        Column("pace|s a lap", 8, mean("track_pace_s", 2), "right", from_width=142),
        Column("comes|in at", 7, comes_in, "right", from_width=152),
    ]


def rows_of(answer: RankAnswer, table: Table[RankedMotor]) -> tuple[list[str | None], list[Line]]:
    """Every motor of the class with its line; those not ranked have no name for the mark to stand on."""
    keys: list[str | None] = [motor.motor for motor in answer.motors] + [None] * len(answer.not_ranked)
    drawn = [table.row(motor) for motor in answer.motors]
    for other in answer.not_ranked:
        drawn.append(line((f"·  {other.motor}   not ranked: {not_ranked_words(other.why)}", "quiet")))
    return keys, drawn


def _marked(name: str, flags: Collection[str], width: int) -> str:
    """A name with all its marks where they fit, else with the first and how many more there are, else with how many.

    >>> _marked("1  Whio", ["no_timing", "no_resistance", "run_does_not_fit"], 20)
    '1  Whio ! run +2'
    >>> _marked("4  Sanderling", ["no_resistance", "check_motor"], 19)
    '4  Sanderling ! 2'
    """
    marks = [words for flag, words in MARKS.items() if flag in flags]
    last = ["check"] if "check_motor" in flags else []
    if not marks:
        return f"{name} check" if last else name
    whole = f"! {', '.join([*marks, *last])}"
    more = len(marks) + len(last) - 1
    forms = (whole, f"! {marks[0]}{f' +{more}' if more else ''}", f"! {more + 1}" if more else "!")
    mark = next((form for form in forms if len(name) + 1 + len(form) <= width), forms[-1])
    return f"{name if len(name) + 1 + len(mark) <= width else fitted(name, width - 1 - len(mark))} {mark}"


def _runs(motor: RankedMotor) -> str:
    """How many bench runs and track runs it stands on."""
    figures = motor.figures
    bench = figures["kv_rpm_per_v"].runs or figures["no_load_current_a"].runs
    return f"{bench:>2}  {figures['track_pace_s'].runs or '·':>2}"
