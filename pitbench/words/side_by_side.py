"""Motors side by side in words: the sentences on top, and every figure as the cells that screen and command share.

Words only what the answer holds; nothing is computed here but the unit shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pitbench.records.spoken import listed, number_word, work_words
from pitbench.records.stamps import friendly
from pitbench.words.aligned import aligned
from pitbench.words.ranking import chance_number, in_100, not_ranked_words

if TYPE_CHECKING:
    from datetime import datetime

    from pitbench.desk.answers import Basis, Difference, FigureBeside, SideBySide
    from pitbench.records.units import Units

POWER, TIMING, FINISH, PACE = "load_power_w", "timing_deg", "finish_temp_c", "track_pace_s"
LEANING = 0.70
"""From this chance on the better one is named; from 90 in 100 on it is told apart."""
LABEL = 21
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class Shown:
    """How a figure is called in the table, how in a sentence, its unit, and its decimals."""

    figure: str
    label: str
    said: str
    unit: str
    decimals: int


SHOWN = (
    Shown("kv_rpm_per_v", "KV", "KV", "rpm/V", 0),
    Shown("no_load_current_a", "no-load current", "current", "A", 2),
    Shown("speed_per_amp", "speed per amp", "speed per amp", "rpm/V/A", 0),
    Shown(TIMING, "timing as last set", "timing", "°", 1),
    Shown("sensor_spread_deg", "sensor spread", "sensor spread", "°", 1),
    Shown("pole_imbalance_pct", "pole imbalance", "pole imbalance", "%", 1),
    Shown("hall_level_spread_pct", "Hall level spread", "Hall levels", "%", 1),
    Shown("resistance_mohm", "winding at 20 °C", "winding", "mΩ", 1),
    Shown(POWER, "power at load", "power at load", "%", 1),
    Shown(FINISH, "finish temperature", "finish temperature", "°C", 0),
    Shown(PACE, "track pace", "track pace", "s", 2),
)
"""Every figure, in the order of the screen."""
ON_THE_TRACK = (FINISH, PACE)
READ = tuple(each for each in SHOWN if each.figure != POWER)
"""Those that a run reads; power at load is worked out."""


def title(found: SideBySide, now: datetime | None = None) -> list[str]:
    """Which differences are real and whose, what that makes at load, and what has to be known of the motors."""
    names = found.answer.motors
    first = _two(found, *names) if len(names) == 2 else _many(found)
    return [first, *_of_the_motors(found, now)]


def _two(found: SideBySide, one: str, other: str) -> str:
    known = [(each, _of(found, each.figure).between(one, other)) for each in SHOWN]
    known = [(each, between) for each, between in known if between.chance is not None]
    beside = f"{one} beside {other}"
    if not known:
        return f"{beside}: no figure was read of both."
    real = [(each, between) for each, between in known if between.better]
    if not real:
        return f"{beside}: no difference is real yet, all of it may be luck."
    rest = ", the rest may be luck" if len(real) < len(known) else ""
    counted = "one figure differs" if len(real) == 1 else f"{number_word(len(real))} figures differ"
    real.sort(key=lambda each: each[0].figure != POWER)  # what the car gets comes first
    better = {name: [each.said for each, between in real if between.better == name] for name in (one, other)}
    led = [f"{name} {{}}in {listed(figures)}" for name, figures in better.items() if figures]
    told = ", ".join(each.format("" if nth else "is better ") for nth, each in enumerate(led))
    power = "" if real[0][0].figure == POWER else _power(found)
    return f"{beside}: {counted} for real{rest}. {told}. {power}".strip()


def _many(found: SideBySide) -> str:
    of_each = [_of(found, each.figure).differences for each in SHOWN]
    known = sum(any(each.chance is not None for each in of_figure) for of_figure in of_each)
    told = sum(any(each.better for each in of_figure) for of_figure in of_each)
    names = listed(found.answer.motors)
    if not known:
        return f"{names}: no figure was read of two of them."
    counted = f"in {number_word(told)} of {number_word(known)} figures some differ for real"
    return f"{names}: {counted}. {_power(found)}".strip()


def _power(found: SideBySide) -> str:
    """What the car gets is said by name."""
    known = [each for each in found.power_pct.differences if each.chance is not None]
    real = [f"{each.better} over {next(n for n in each.of if n != each.better)}" for each in known if each.better]
    if not known:
        return ""
    if len(known) == 1 and not real and (known[0].chance or 0) >= LEANING:
        return f"Power at load: likelier {found.likelier[POWER][known[0].of]}, {in_100(known[0].chance or 0)}."
    return f"Power at load: {', '.join(real) if real else CANNOT_TELL}."


def _of_the_motors(found: SideBySide, now: datetime | None) -> list[str]:
    """Work done on them, and which are not compared, or are compared here alone."""

    def when(work: dict[str, Any]) -> str:
        return f" {friendly(work['written_at'], now)}" if now else ""

    told = [f"{name} as it is since: {work_words(work)}{when(work)}." for name, work in found.since.items()]
    for name, work in found.worked.items():
        told.append(f"{name}: {work_words(work)}{when(work)}, untested since, so its ranges are wide.")
    told += [f"{name} is not compared: {not_ranked_words(why)}." for name, why in found.why_not.items()]
    if found.guests:
        its, named = "is" if len(found.guests) == 1 else "are", listed(list(found.guests))
        told.append(f"{named} {its} not in the ranking: taken in here, which may move figures a little.")
    return told


def conditions(basis: Basis, units: Units) -> str:
    """At what all figures are stated.

    >>> from pitbench.desk.answers import Basis
    >>> from pitbench.records.units import Units
    >>> conditions(Basis(timing_deg=42.0, motor_temp_c=25.0), Units())
    'All at 25 °C and 42.0° timing, moods of sessions taken out. ± nine in ten.'
    """
    timing = "own timing, not equalised" if basis.timing_deg is None else f"{basis.timing_deg:.1f}° timing"
    warm = "own warmth" if basis.motor_temp_c is None else units.degrees(basis.motor_temp_c)
    return f"All at {warm} and {timing}, moods of sessions taken out. ± nine in ten."


# one figure in cells


def unit_of(shown: Shown, units: Units) -> str:
    """The unit of its values."""
    return f"°{units.temperature}" if shown.figure == FINISH else shown.unit


def label_with_unit(shown: Shown, units: Units, *, of_runs: bool = False) -> str:
    """Both, in LABEL characters; of_runs: of what each run read."""
    unit = unit_of(shown, units)
    label = "timing as read" if of_runs and shown.figure == TIMING else shown.label
    return f"{label.ljust(LABEL - len(unit))}{unit}"


def value_text(found: SideBySide, shown: Shown, motor: str, units: Units) -> str:
    """What a motor has; a dot where it was never read."""
    of_figure = _of(found, shown.figure)
    value = of_figure.values[found.answer.motors.index(motor)]
    return number_text(shown, value.mean, units, _decimals(shown, of_figure, units))


def number_text(shown: Shown, value: float | None, units: Units, decimals: int | None = None) -> str:
    """A value of a figure as it is shown."""
    if value is None:
        return "·"
    if shown.figure == FINISH:
        value = units.warmth(value)
    places = shown.decimals if decimals is None else decimals
    return f"{value:+z.{places}f}" if shown.figure == POWER else f"{value:.{places}f}"


def difference_text(
    found: SideBySide, shown: Shown, one: str, other: str, units: Units, *, turned: bool = False
) -> str:
    """One less the other, with half the width of its middle nine tenths; empty where one was never read. turned: the
    other less the one."""
    of_figure = _of(found, shown.figure)
    between = of_figure.between(one, other)
    if between.mean is None:
        return ""
    times, places = _times(shown, units), _decimals(shown, of_figure, units)
    mean = -between.mean if turned else between.mean
    return f"{times * mean:+z.{places}f} ±{times * _half(between):.{places}f}"


def better_words(found: SideBySide, figure: str, one: str, other: str) -> tuple[str, str]:
    """Which is better and how surely, of 100; empty where the figure has no better side, or one was never read."""
    between = _of(found, figure).between(one, other)
    if between.chance is None:
        return "", ""
    if between.chance < LEANING:
        return CANNOT_TELL, ""
    return found.likelier[figure][one, other], chance_number(between.chance)


def _times(shown: Shown, units: Units) -> float:
    return units.per_kelvin if shown.figure == FINISH else 1.0


def _half(between: Difference) -> float:
    assert between.low90 is not None and between.high90 is not None
    return (between.high90 - between.low90) / 2


def _decimals(shown: Shown, figure: FigureBeside, units: Units) -> int:
    """One more where else no doubt were left to see."""
    halves = [_times(shown, units) * _half(each) for each in figure.differences if each.mean is not None]
    hidden = any(round(half, shown.decimals) == 0 for half in halves)
    return shown.decimals + hidden


def _of(found: SideBySide, figure: str) -> FigureBeside:
    """Power at load as the ranking shows it, in percent."""
    return found.power_pct if figure == POWER else found.answer.figures[figure]


# the runs


NOT_READ = "No run reads it: it is worked out from KV, no-load current and winding."


def runs_title(shown: Shown, as_read: bool) -> str:
    """What stands over the runs of a figure.

    >>> runs_title(SHOWN[0], False), runs_title(SHOWN[-2], True)
    ('runs of KV, as they compare', 'runs of finish temperature, one minute after')
    """
    if shown.figure == FINISH:
        return f"runs of {shown.said}, one minute after"
    if shown.figure == POWER:
        return shown.label
    how = "as read" if as_read or shown.figure == TIMING else "as they compare"
    return f"runs of {shown.said}, {how}"


def every_run_title(as_read: bool) -> str:
    """What stands over the runs of all figures."""
    return f"every run, {'as read' if as_read else 'as it compares'}"


# for the command line


def page(found: SideBySide, units: Units) -> list[str]:
    """Sentences, then the table, then at what all is stated."""
    names = found.answer.motors
    heads = ["", "", *names, *(["difference", "better", "in 100"] if len(names) == 2 else [])]
    rows = [[each.label, unit_of(each, units), *_cells(found, each, units)] for each in SHOWN]
    better = len(heads) - 2
    lines = [*title(found), "", *aligned([heads, *rows], left=(0, better) if len(names) == 2 else (0,))]
    if len(names) > 2:
        lines += ["", *(_two(found, *each.of) for each in found.power_pct.differences)]
    return [*lines, "", conditions(found.answer.basis, units)]


def _cells(found: SideBySide, shown: Shown, units: Units) -> list[str]:
    names = found.answer.motors
    values = [value_text(found, shown, name, units) for name in names]
    if len(names) > 2:
        return values
    one, other = names
    return [*values, difference_text(found, shown, one, other, units), *better_words(found, shown.figure, one, other)]
