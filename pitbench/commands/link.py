"""`pitbench link`: which bench figures told about pace and finish temperature on the track."""

import argparse
import json

from pitbench import bootstrap
from pitbench.desk.answers import LinkPage, plain
from pitbench.desk.comparing.link_page import link_page
from pitbench.records.spoken import FIGURES, capital
from pitbench.records.units import Units, units_of
from pitbench.words import link as words

NAME = "link"
HELP = "which bench figures told about pace and finish temperature on the track"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument(
        "--class",
        dest="class_name",
        metavar="C",
        help='the class ("": the motors without one); without this: that of the newest bench run',
    )
    parser.add_argument("--json", action="store_true", help="the whole answer as one JSON object")


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        page = link_page(snapshot, args.class_name)
    if args.json:
        print(json.dumps(plain(page.answer), ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join([*words.headline(page), *tables(page, units_of(snapshot))]))
    return 0


def tables(page: LinkPage, units: Units) -> list[str]:
    """A table for each target: figure, better side, skill, luck, and what a margin brought."""
    lines: list[str] = []
    for target, spoken in words.TARGETS.items():
        rows = [
            (
                FIGURES[each.figure],
                words.side_words(each),
                words.skill_cell(each.skill),
                words.luck_cell(each.p_value),
                words.margin_words(page, each.figure),
                words.brought_words(page, target, each.figure, units),
            )
            for each in page.answer.targets[target]
        ]
        if rows:
            heads = (capital(spoken), "better", "than guessing", "luck alone", "one margin more", "brought")
            widths = [max(len(row[i]) for row in (heads, *rows)) for i in range(len(heads))]
            lines += ["", *(_line(row, widths) for row in (heads, *rows))]
    return lines


def _line(row: tuple[str, ...], widths: list[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
