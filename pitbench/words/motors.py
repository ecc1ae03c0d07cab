"""Motors in words: the answer over their list, what the marked motor is, and the page of one.

Light at import: the first list waits for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.numbers import shown
from pitbench.records.spoken import capital, change_words, counted_words, listed, work_words
from pitbench.records.stamps import friendly
from pitbench.words.ranking import VERDICTS, conditions, in_100, not_ranked_words, what_is_odd
from pitbench.words.waiting import asks, waits_words
from pitbench.words.wear import drift_words, moved_words, short_words, slower_words

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf
    from pitbench.desk.comparing.ranked import Ranked
    from pitbench.desk.lists.motor_page import MotorAnswer, Trend
    from pitbench.desk.lists.motors import MotorLine, Raced, Rankings
    from pitbench.desk.lists.since_work import SinceWork
    from pitbench.figures.pace import Against
    from pitbench.records.kinds import Row
    from pitbench.records.units import Units

MOST_NAMED, MOST_CLASSES = 4, 3
USUAL_POLES = 2
NOT_RANKED = {
    "no_run": "no bench run yet",
    "new_build": "rebuilt: no run yet",
    "other_voltage": "other voltage only",
    "part_missing": "lacks a part",
}
"""Why a motor has no chance, as short as a cell of the list."""


def motors_words(lines: list[MotorLine], ranked: Rankings) -> list[str]:
    """The answer on top of the list: who is best in each class, and what is missing. As many sentences before the
    rankings have come as after."""
    in_use = [m for m in lines if m.in_use]
    if not in_use:
        return [f"{counted_words(len(lines), 'motor')}, none in use."]
    classes = list(dict.fromkeys(m.class_name for m in in_use))
    best = [_best_of(name, ranked.get(name), [m for m in in_use if m.class_name == name]) for name in classes]
    if len(best) > MOST_CLASSES:
        best[MOST_CLASSES - 1 :] = [f"{len(best) - MOST_CLASSES + 1} more classes below."]
    idle = [m.name for m in in_use if m.runs == 0]
    more = [f"{len(idle) - MOST_NAMED} more"] if len(idle) > MOST_NAMED else []
    waits = waits_words(sum(m.waits for m in lines), asks())
    missing = f"Not on the bench yet: {listed([*idle[:MOST_NAMED], *more])}." if idle else ""
    gaps = " ".join(f"{m.name} {gap_words(m.lacks)}" for m in in_use if m.lacks)
    return [*best, *filter(None, [gaps, waits, missing])]


def _best_of(name: str | None, ranked: Ranked | None, motors: Sequence[MotorLine]) -> str:
    """Which motor of a class for the main, or how far that is from settled."""
    where, counted = capital(name or "no class named"), counted_words(len(motors), "motor")
    if ranked is None:
        return f"{where}: {counted}, chances come …"
    answer = ranked.answer
    if answer.verdict is None:
        return f"{where}: {counted}, no two to compare yet."
    chance = in_100(answer.motors[0].chance_best)
    if answer.verdict == "open":
        return f"{where} is not settled: {answer.leader} {chance}."
    return f"{answer.leader} for the main{f' in {name}' if name else ''}. {capital(answer.verdict)}: {chance}."


def gap_words(lacks: Sequence[str]) -> str:
    """That a motor lacks parts of these kinds, and what that means.

    >>> gap_words(["rotor", "end_bell"])
    'lacks its rotor and end bell, so it is not ranked.'
    """
    return f"lacks its {listed([kind.replace('_', ' ') for kind in lacks])}, so it is not ranked."


def motor_block(motor: MotorLine, raced: Raced | None, now: datetime) -> list[tuple[str, str]]:
    """What the marked motor is, as (label, text) pairs; the first label is its name. What its line says is not here."""
    facts = [
        motor.named,
        f"{shown(motor.turns)} turns" if motor.turns else "",
        f"{shown(motor.poles)} poles" if motor.poles and motor.poles != USUAL_POLES else "",
        _winding(motor.resistance),
        f"raced {friendly(raced.last_on, now)}" if raced else "",
    ]
    block = [(motor.name.upper(), ", ".join(fact for fact in facts if fact))]
    if motor.lacks:
        lacks = listed([kind.replace("_", " ") for kind in motor.lacks])
        block.append(
            ("Lacks", f"{lacks}: {key_for('add-setup-entry')} on its page puts one in"),
        )
    if motor.waits:
        block.append(("Waits", waits_words(motor.waits, asks()).rstrip(".")))
    if motor.odd_run:
        block.append(("Check", what_is_odd(motor.odd_run, now)))
    if motor.wear and motor.wear.drifts:
        block.append(("Drift", short_words(motor.wear, now)))
    if motor.work:
        done = f"{change_words(motor.work)}, {friendly(motor.work['written_at'], now)}"
        block.append(("Work", f"{done}; not on the bench since"))
    if motor.since:
        block.append(("Since", f"{since_words(motor.since, now)}; its figures are those since then"))
    if not motor.in_use:
        block.append(("Resting", "not in use: takes no part in rankings"))
    counted = _counted(motor.kv, motor.runs)
    if counted:
        block.append(("Ranked", counted))
    if motor.note:
        block.append(("Note", motor.note))
    return block


def _counted(kv: FigureOf | None, runs: int) -> str:
    """By how many of its bench runs a motor is ranked, and which; empty where by all."""
    if kv is None or kv.runs in (0, runs):
        return ""
    return f"by {kv.runs} of its {counted_words(runs, 'bench run')}: those with KV since it was built so"


DOUBTS = ("Lacks", "Waits", "Check", "Drift")
"""Labels of what is to be looked at."""


def list_notes(
    lines: Sequence[MotorLine], marked: MotorLine, ranked: Rankings, now: datetime, units: Units
) -> list[str]:
    """At what conditions the figures of a line are told, what ± means, and since when figures marked `since` hold."""
    if not any(m.runs for m in lines):
        return []
    known = ranked.get(marked.class_name)
    told = known is not None and known.answer.motors and marked.in_use
    at = f"KV and current {conditions(known.answer, units)}. " if known and told else ""
    worked = [f"{m.name} {since_words(m.since, now)}" for m in lines if m.since and m.ranking]
    since = f"since: {', '.join(worked)}." if worked else ""
    return [f"{at}± nine times in ten.", *filter(None, [since])]


def since_words(work: Row, now: datetime) -> str:
    """The work that a motor's state began with: `bearings cleaned today 09:40`."""
    return f"{work_words(work)} {friendly(work['written_at'], now)}"


def _winding(resistance: FigureOf | None) -> str:
    """Nothing is said of a motor that is not ranked: nobody has worked its figures out."""
    if resistance is None:
        return ""
    return "winding not measured" if resistance.mean is None else f"winding {resistance.mean:.1f} mΩ at 20 °C"


# the page of one


def motor_title(answer: MotorAnswer, now: datetime) -> str:
    """Name, turns, what it is built from, and whether it is a check motor."""
    since = f" since {friendly(answer.since, now)}" if answer.since else ""
    facts = [
        answer.name,
        f"{shown(answer.turns)}T" if answer.turns is not None else "",
        f"{answer.parts}{since}",
        "check motor" if answer.check_motor else "",
    ]
    return "   ".join(fact for fact in facts if fact)


def standing_words(answer: MotorAnswer) -> str:
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
    chance = in_100(ranked.chance_best)
    if ranked.place == 1:
        return f"leads, {VERDICTS[rank.verdict]}: {chance}"
    return f"place {ranked.place} of {len(rank.motors)}: {chance} to be the best"


def page_words(answer: MotorAnswer, now: datetime) -> list[str]:
    """A part that is missing, what the bench says, and the track where it was raced, and whether it gets slower: a
    paragraph each."""
    gap = f"It {gap_words(answer.lacks)} {key_for('add-setup-entry')} puts one in." if answer.lacks else ""
    track = _track_words(answer, now) if answer.raced else ""
    return [*filter(None, [gap, _bench_words(answer, now), track, _wear_words(answer)])]


def _bench_words(answer: MotorAnswer, now: datetime) -> str:
    if answer.last_on is None:
        return f"Not on the bench yet. {key_for('add-bench-run')} logs its first run."
    runs, days = counted_words(answer.runs, "bench run"), counted_words(answer.days, "day")
    words = f"{runs} on {days}, last {friendly(answer.last_on, now)}."
    ranked = next((m for m in answer.rank.motors if m.motor == answer.name), None) if answer.rank else None
    counted = _counted(ranked.figures["kv_rpm_per_v"], answer.runs) if ranked else ""
    if counted and not answer.worked_on:
        words += f" Ranked {counted}."
    if answer.worked_on:
        words += f" Since: {since_words(answer.worked_on, now)}; it is ranked by the runs since then."
    if answer.left_out:
        words += f" {answer.left_out} left out of every figure."
    if not answer.resistance_known:
        words += " Its winding resistance was never measured: no missing figure tells more about power at load."
    return words


def _track_words(answer: MotorAnswer, now: datetime) -> str:
    words = f"{raced_words(answer.raced, now, 'track run')}." if answer.raced else ""
    return f"{words} {pace_words(answer.against)}" if answer.against else words


def raced_words(raced: Raced, now: datetime, run: str = "run") -> str:
    """How often a motor was raced, when and where last. run: what one is called."""
    words = f"{counted_words(raced.runs, run)}, last {friendly(raced.last_on, now)}"
    return f"{words}: {raced.where}" if raced.where else words


def pace_words(against: Against) -> str:
    """A motor's pace against the mean of those compared, in a sentence."""
    found = against.seconds
    if found.low90 < 0 < found.high90:
        between = f"between {found.low90:+.2f} and {found.high90:+.2f} s a lap"
        return f"Its pace cannot be told from the mean of the motors run beside it: {between}."
    faster = found.mean < 0
    near, far = sorted((abs(found.low90), abs(found.high90)))
    way = "under" if faster else "over"
    return f"It laps {abs(found.mean):.2f} s {way} the mean of the motors run beside it, by {near:.2f} to {far:.2f}."


def worked_words(each: SinceWork) -> str:
    """What a motor ran since a piece of work.

    >>> from types import SimpleNamespace as Since
    >>> worked_words(Since(what="bearings", runs=9, minutes=47.2, untimed=0, due=False))
    'bearings: 9 runs, 47 min'
    >>> worked_words(Since(what="bearings", runs=2, minutes=5.0, untimed=1, due=True))
    '! bearings: 2 runs, 5 min and 1 not timed, due'
    """
    more = f" and {each.untimed} not timed" if each.untimed else ""
    timed = f", {each.minutes:.0f} min{more}" if each.runs else ""
    said = f"{each.what}: {counted_words(each.runs, 'run')}{timed}"
    return f"! {said}, due" if each.due else said


def trend_words(trend: Trend, minutes: float, now: datetime) -> str:
    """How a figure moved over its track minutes."""
    return moved_words(trend.wear, trend.decimals, trend.unit, minutes, now)


def _wear_words(answer: MotorAnswer) -> str:
    """Whether a motor that was raced gets slower, and why."""
    if answer.wear is None:
        return ""
    return " ".join(filter(None, [slower_words(answer.wear), drift_words(answer.wear)]))
