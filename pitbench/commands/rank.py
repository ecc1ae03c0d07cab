"""`pitbench rank`: which motor for the main, how sure, and what would settle it."""

import argparse

from pitbench import bootstrap
from pitbench.commands._shared import add_class, add_json, as_json
from pitbench.desk.answered import count_of
from pitbench.desk.answers import FigureOf, RankAnswer, RankedMotor
from pitbench.desk.comparing.ranking import rank
from pitbench.records.spoken import GEARING
from pitbench.words import ranking as words
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
        print("\n".join([*page(answer, snapshot.team().test_minutes), *filter(None, [waits])]))
    return 0


def page(answer: RankAnswer, minutes: float) -> list[str]:
    """The answer for a person: sentences, then the table, then what was left out. minutes: to test something in."""
    lines = [*words.headline(answer, minutes)]
    if answer.motors:
        where = answer.class_ or "no class"
        lines += ["", f"{where}: {GEARING[answer.gearing_limit]}, {words.conditions(answer)}", *table(answer)]
    lines += ["", *words.cannot_be_told(answer)] if words.cannot_be_told(answer) else []
    if answer.not_ranked:
        lines += [
            "",
            *(f"{each.motor} is not ranked: {words.not_ranked_words(each.why)}." for each in answer.not_ranked),
        ]
    return lines


def table(answer: RankAnswer) -> list[str]:
    """The motors in aligned columns; a figure nobody measured is a dot."""
    heads = ("", "", f"{words.score_name(answer)}, %", *COLUMNS)
    rows = [heads, *(_cells(answer, motor) for motor in answer.motors)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(heads))]
    left = (1, len(heads) - 1)
    return [
        "  ".join(
            cell.ljust(width) if i in left else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def _cells(answer: RankAnswer, motor: RankedMotor) -> tuple[str, ...]:
    score, chance = words.score_and_chance(answer, motor)
    return (
        str(motor.place),
        motor.motor,
        score,
        _figure(motor.figures["kv_rpm_per_v"], 0),
        _figure(motor.figures["no_load_current_a"], 2),
        _figure(motor.figures["resistance_mohm"], 1),
        str(motor.figures["kv_rpm_per_v"].runs),
        chance,
        ", ".join(words.FLAGS[flag] for flag in motor.flags),
    )


def _figure(figure: FigureOf, decimals: int) -> str:
    return "·" if figure.mean is None else f"{figure.mean:.{decimals}f}"
