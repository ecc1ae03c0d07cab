"""`pitbench rank`: which motor for the main, how sure, and what would settle it."""

import argparse

from pitbench import bootstrap
from pitbench.commands._shared import add_class, add_json, as_json
from pitbench.desk.answered import count_of
from pitbench.desk.answers import RankAnswer
from pitbench.desk.comparing.ranking import rank
from pitbench.records.spoken import GEARING
from pitbench.records.units import Units, units_of
from pitbench.words import ranking as words
from pitbench.words.aligned import aligned
from pitbench.words.waiting import asks, waits_words

NAME = "rank"
HELP = "which motor for the main, how sure, and what would settle it"
COLUMNS = ("KV", "current", "winding", "runs", "chance of best", "")
"""Heads of the figures and of the flags, after place, name and score."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    add_class(parser)
    parser.add_argument(
        "--gearing",
        metavar="LIMIT",
        choices=tuple(GEARING),
        help="what stops you gearing higher: none, heat, rules, gears or unknown",
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        answer, waiting = rank(snapshot, args.class_name, args.gearing), count_of(snapshot)
    if args.json:
        print(as_json(answer))
    else:
        waits = waits_words(waiting, f"{asks()} in the app")
        lines = page(answer, snapshot.team().test_minutes, units_of(snapshot))
        print("\n".join([*lines, *filter(None, [waits])]))
    return 0


def page(answer: RankAnswer, minutes: float, units: Units) -> list[str]:
    """The answer for a person: sentences, then the table, then what was left out. minutes: to test something in."""
    lines = [*words.headline(answer, minutes)]
    if answer.motors:
        where = answer.class_ or "no class"
        lines += ["", f"{where}: {GEARING[answer.gearing_limit]}, {words.conditions(answer, units)}", *table(answer)]
    lines += ["", *words.cannot_be_told(answer)] if words.cannot_be_told(answer) else []
    if answer.not_ranked:
        lines += [
            "",
            *(f"{each.motor} is not ranked: {words.not_ranked_words(each.why)}." for each in answer.not_ranked),
        ]
    return lines


def table(answer: RankAnswer) -> list[str]:
    """The motors in aligned columns."""
    heads = ("", "", f"{words.score_name(answer)}, %", *COLUMNS)
    flags = [", ".join(words.FLAGS[flag] for flag in motor.flags) for motor in answer.motors]
    rows = [[*words.rank_cells(answer, motor), said] for motor, said in zip(answer.motors, flags, strict=True)]
    return aligned([heads, *rows], left=(1, len(heads) - 1))
