"""The Temperature screen in words: the answer on top, a motor's line, what the table stands on.

Words only what the answers hold.
"""

from collections.abc import Sequence
from math import isnan
from typing import TYPE_CHECKING, NamedTuple

from pitbench.records.keys import key_for
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import capital, counted_words, listed
from pitbench.records.units import Units
from pitbench.words.forecast import FORECAST_FLAGS, limit_words
from pitbench.words.ranking import chance_number, in_100

if TYPE_CHECKING:
    from pitbench.desk.answers import Temperatures
    from pitbench.desk.forecasting.next_start import Start
    from pitbench.desk.forecasting.temperature import Standing
    from pitbench.desk.forecasting.temperature_plan import PlanAnswer, PlanLine

MOST_SETS = 3
_LEFT_OPEN = {
    "pinion": "the pinion",
    "spur": "the spur",
    "tyre_diameter_mm": "the tyre diameter",
    "ambient_c": "the ambient",
    "length_s": "how long they took",
}


def standing_headline(
    start: "Start", standing: "Standing", answer: "PlanAnswer", ceiling_c: float, units: Units
) -> str:
    """When the motor is cool, what it comes in at on the planned pinion, and what one step longer would do."""
    here, longer = answer.here, answer.longer
    cool = _cool_words(standing, start)
    first = f"{start_words(start)}: {standing.motor} {cool}."
    second = f"On {shown(here.pinion)} teeth it should come in at {units.degrees(here.finish.median)}, "
    second += f"{in_100(here.chance_over)} that it passes {limit_words(ceiling_c, units)}."
    third = f"On {shown(longer.pinion)} teeth {in_100(longer.chance_over)}." if longer else ""
    return " ".join(part for part in (first, second, third) if part)


def start_words(start: "Start") -> str:
    """A round and its time, as a sentence begins."""
    if start.round:
        return f"{capital(start.round)} at {start.at:%H:%M}"
    return f"{'Next start' if start.told else 'If it starts at'} {start.at:%H:%M}"


def _cool_words(standing: "Standing", start: "Start") -> str:
    if standing.run is not None and standing.now is None:
        return "was run without an ambient, so when it is cool is not known"
    if not standing.told:
        return "must be read again, before that nobody can say when it is cool"
    if standing.cool_at is None:
        return "is cool"
    if standing.cool_at <= start.at:
        return f"will be cool by {standing.cool_at:%H:%M}"
    return f"may not be cool before {standing.cool_at:%H:%M}"


def chance_cell(line: "PlanLine", allowed: float) -> str:
    """The chance over the limit as the table shows it, marked where it is more than allowed."""
    number = chance_number(line.chance_over)
    mark = "! " if more_than(line.chance_over, allowed) else ""
    return f"{mark}{number}" if not number.isdigit() else f"{mark}{number} in 100"


def more_than(chance: float, allowed: float) -> bool:
    """Whether a chance is more than what is allowed, as both are shown.

    >>> more_than(0.104, 0.10), more_than(0.106, 0.10)
    (False, True)
    """
    return round(100 * chance) > round(100 * allowed)


class StandingCells(NamedTuple):
    """A motor's line. at_start: at the next start."""

    motor: str
    run: str
    ended: str = ""
    at: str = ""
    now: str = ""
    cool_at: str = ""
    at_start: str = ""
    hot: bool = False


def standing_cells(standing: "Standing", air_c: float, units: Units) -> StandingCells:
    """air_c: where a motor not run today stands."""
    if standing.run is None:
        air = "" if isnan(air_c) else units.degrees(air_c)
        return StandingCells(standing.motor, "not today", cool_at="is cool", at_start=air, hot=standing.hot)
    ended = f"{standing.ended:%H:%M}" if standing.ended else ""
    cells = StandingCells(standing.motor, standing.round, ended, hot=standing.hot)
    if standing.now is None or standing.finish_c is None or standing.at_start is None:
        return cells._replace(now="no ambient")
    if not standing.told:
        return cells._replace(now="read again")
    about = "~" if standing.guessed else ""
    return cells._replace(
        at=f"{about}{units.give_or_take(standing.finish_c, standing.finish_pm_k or 0.0)}",
        now=f"{estimate_words(standing.now, units)}{' hot' if standing.hot else ''}",
        cool_at=f"{standing.cool_at:%H:%M}" if standing.cool_at else "is cool",
        at_start=estimate_words(standing.at_start, units),
    )


def estimate_words(found: "Temperatures", units: Units) -> str:
    """A temperature nobody read, with half its middle nine tenths."""
    return units.give_or_take(found.median, (found.high90 - found.low90) / 2)


def flag_words(answer: "PlanAnswer", flag: str) -> str:
    """What a flag of the forecast says; which run it was where something has changed."""
    if flag != "something_changed" or answer.changed is None:
        return FORECAST_FLAGS[flag]
    motor, run = answer.changed
    return f"something has changed: {motor}'s {round_text(run) or 'run'} came in well off its forecast"


def against_words(answer: "PlanAnswer") -> list[str]:
    """What speaks against trusting the table, as sentences, maybe none."""
    against = [flag_words(answer, flag) for flag in answer.flags if flag in FORECAST_FLAGS and flag != "start_unknown"]
    short, long = [text for text in against if ":" not in text], [text for text in against if ":" in text]
    said = [*([listed(short)] if short else []), *long]
    return [f"{capital(text)}." for text in said] if answer.track_runs else []


def table_basis_words(answer: "PlanAnswer", motor: str) -> str:
    """What the table was learned from."""
    if not answer.track_runs:
        return "No track run with a reading yet: these are motors of this kind, and wide."
    runs = counted_words(answer.track_runs, "track run")
    return f'From {runs}, {answer.same_motor} of them {motor}\'s. ± and "cool by" hold nine in ten.'


def illegal_words(answer: "PlanAnswer") -> list[str]:
    """What the mark before a pinion means; nothing where the class sheet allows all that are shown."""
    why = listed(list(dict.fromkeys(line.illegal for line in answer.lines if line.illegal)))
    return [f"! before a pinion: not legal by the class sheet, {why}."] if why else []


def no_plan_words(motor: str, missing: Sequence[str]) -> str:
    """Why a motor has no plan; missing: the figures its track runs leave open."""
    open_ = listed([_LEFT_OPEN[name] for name in missing] or ["enough"])
    ways = f"{key_for('add-track-run')} writes the next one down, {key_for('edit-record')} on Runs mends one"
    return f"No plan for {motor}: its track runs do not tell {open_}. {ways}."


def longest_sets_words(answer: "PlanAnswer", units: Units) -> str:
    """The longest rollout that keeps to the chance allowed, and the longest own sets under it, legal ones first."""
    if answer.longest_mm is None:
        return "Even half the usual rollout would not stay within the 10 in 100 you allow."
    unit = units.unit("max_rollout_mm")
    first = f"Within 10 in 100 up to {units.short('max_rollout_mm', answer.longest_mm)} {unit}"
    if not answer.owns_gears:
        return f"{first}."
    legal = [f"{each.pinion}/{each.spur}" for each in answer.sets if each.legal]
    if not legal:
        return f"{first}; none of your legal sets is that short."
    are = "is" if len(legal) == 1 else "are"
    return f"{first}: {', '.join(legal[:MOST_SETS])} {are} your longest."
