"""A motor's page in words: what it is, how it stands, what bench and track say of it."""

from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.numbers import shown
from pitbench.records.spoken import counted_words
from pitbench.records.stamps import friendly
from pitbench.words.ranking import VERDICTS, chance_number, not_ranked_words

if TYPE_CHECKING:
    from pitbench.desk.lists.motor_page import MotorAnswer, Trend
    from pitbench.desk.lists.motor_track import Raced
    from pitbench.figures.pace import Against


def title(answer: "MotorAnswer", now: datetime) -> str:
    """Name, turns, what it is built from, and whether it is a check motor."""
    since = f" since {friendly(answer.since, now)}" if answer.since else ""
    facts = [
        answer.name,
        f"{shown(answer.turns)}T" if answer.turns is not None else "",
        f"{answer.parts}{since}" if answer.parts else "its own parts",
        "check motor" if answer.check_motor else "",
    ]
    return "   ".join(fact for fact in facts if fact)


def standing(answer: "MotorAnswer") -> str:
    """How the motor stands in its class; empty before that is worked out."""
    rank = answer.rank
    if rank is None:
        return ""
    other = next((n for n in rank.not_ranked if n.motor == answer.name), None)
    ranked = next((m for m in rank.motors if m.motor == answer.name), None)
    if other:
        return f"not ranked: {not_ranked_words(other.why)}"
    if ranked is None or rank.verdict is None:
        return ""
    chance = f"{chance_number(ranked.chance_best)} in 100"
    if ranked.place == 1:
        return f"leads, {VERDICTS[rank.verdict]}: {chance}"
    return f"place {ranked.place} of {len(rank.motors)}: {chance} to be the best"


def page_words(answer: "MotorAnswer", now: datetime) -> list[str]:
    """What the bench says, and the track where it was raced: a paragraph each."""
    return [_bench_words(answer, now), *([_track_words(answer, now)] if answer.raced else [])]


def _bench_words(answer: "MotorAnswer", now: datetime) -> str:
    if answer.last_on is None:
        return "Not on the bench yet. b logs its first run."
    runs, days = counted_words(answer.runs, "bench run"), counted_words(answer.days, "day")
    words = f"{runs} on {days}, last {friendly(answer.last_on, now)}."
    if answer.left_out:
        words += f" {answer.left_out} left out of every figure."
    if not answer.resistance_known:
        words += " Its winding resistance was never measured: no missing figure tells more about power at load."
    return words


def _track_words(answer: "MotorAnswer", now: datetime) -> str:
    words = f"{raced_words(answer.raced, now, 'track run')}." if answer.raced else ""
    return f"{words} {pace_words(answer.against)}" if answer.against else words


def raced_words(raced: "Raced", now: datetime, run: str = "run") -> str:
    """How often a motor was raced, when and where last. run: what one is called."""
    words = f"{counted_words(raced.runs, run)}, last {friendly(raced.last_on, now)}"
    return f"{words}: {raced.where}" if raced.where else words


def pace_words(against: "Against") -> str:
    """A motor's pace against the mean of those compared, in a sentence."""
    found = against.seconds
    if found.low90 < 0 < found.high90:
        between = f"between {found.low90:+.2f} and {found.high90:+.2f} s a lap"
        return f"Its pace cannot be told from the mean of the motors run beside it: {between}."
    faster = found.mean < 0
    near, far = sorted((abs(found.low90), abs(found.high90)))
    way = "under" if faster else "over"
    return f"It laps {abs(found.mean):.2f} s {way} the mean of the motors run beside it, by {near:.2f} to {far:.2f}."


def trend_words(trend: "Trend") -> str:
    """How a figure moved: the change, or first and last where the runs are too few for one."""
    places = f".{trend.decimals}f"
    if trend.change is None:
        return f"{trend.values[0]:{places}} first, {trend.values[-1]:{places}} last, in {trend.unit}"
    return f"{trend.change:+z{places}} {trend.unit}, last three runs against first three"
