"""The list of motors in words: the answer on top, and what the marked motor is.

Light at import: the first list waits for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.numbers import shown
from pitbench.records.spoken import counted_words, listed
from pitbench.records.stamps import friendly
from pitbench.words.motor_page import raced_words
from pitbench.words.ranking import VERDICTS, chance_number, odd_words, what_is_odd

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, RankAnswer
    from pitbench.desk.comparing.odd_runs import OddRun
    from pitbench.desk.lists.motor_track import Raced
    from pitbench.desk.lists.motors import MotorLine

MOST_NAMED = 4


def motors_words(
    lines: list[MotorLine],
    ranks: Mapping[str | None, RankAnswer | None],
    now: datetime,
    odd: Sequence[OddRun] = (),
) -> list[str]:
    """The answer on top of the list: how many, who leads in each class, what is odd, and what is missing."""
    in_use = [m for m in lines if m.in_use]
    classes = sorted({m.class_name or "" for m in in_use})
    counted = counted_words(len(lines), "motor")
    if len(classes) == 1:
        first = f"{counted}, {classes[0] or 'no class named'}."
    elif not classes:
        first = f"{counted}, none in use."
    else:
        first = f"{counted} in {len(classes)} classes."
    ranked = sorted((rank for rank in ranks.values() if rank), key=lambda rank: rank.class_ or "")
    leads = [text for rank in ranked if (text := _lead(rank, many=len(classes) > 1))]
    idle = [m.name for m in in_use if m.runs == 0]
    words = " ".join([first, *leads])
    more = [f"{len(idle) - MOST_NAMED} more"] if len(idle) > MOST_NAMED else []
    missing = f"Not on the bench yet: {listed([*idle[:MOST_NAMED], *more])}."
    return [words, *filter(None, [odd_words(odd, now)]), *([missing] if idle else [])]


def _lead(rank: RankAnswer, many: bool) -> str:
    if rank.leader is None or rank.verdict is None:
        return ""
    where = f" in {rank.class_}" if many and rank.class_ else ""
    return f"{rank.leader} leads{where}, {VERDICTS[rank.verdict]}: {chance_number(rank.motors[0].chance_best)} in 100."


def motor_block(motor: MotorLine, raced: Raced | None, now: datetime) -> list[tuple[str, str]]:
    """What the marked motor is, as (label, text) pairs; the first label is its name."""
    facts = [
        motor.class_name or "no class",
        f"{shown(motor.turns)} turns" if motor.turns else "",
        f"{shown(motor.poles)} poles" if motor.poles else "",
        _winding(motor.resistance),
    ]
    block = [(motor.name.upper(), ", ".join(fact for fact in facts if fact))]
    if motor.odd_run:
        block.append(("Check", what_is_odd(motor.odd_run, now)))
    if motor.last_on:
        block.append(("Bench", f"{counted_words(motor.runs, 'run')}, last {friendly(motor.last_on, now)}"))
    if raced:
        block.append(("Track", raced_words(raced, now)))
    if not motor.in_use:
        block.append(("Resting", "not in use: takes no part in rankings"))
    if motor.note:
        block.append(("Note", motor.note))
    return block


def _winding(resistance: FigureOf | None) -> str:
    """Nothing is said of a motor that is not ranked: nobody has worked its figures out."""
    if resistance is None:
        return ""
    return "winding not measured" if resistance.mean is None else f"winding {resistance.mean:.1f} mΩ at 20 °C"
