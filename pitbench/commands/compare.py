"""`pitbench compare`: motors side by side, figure by figure: which differences are real."""

import argparse

from pitbench import bootstrap
from pitbench.commands._shared import add_json, as_json
from pitbench.desk.comparing.side_by_side import side_by_side
from pitbench.records.units import units_of
from pitbench.words.side_by_side import page

NAME = "compare"
HELP = "motors side by side: which differences are real"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument("motors", nargs="*", metavar="MOTOR", help="two to four motors of one class")
    parser.add_argument(
        "--class", dest="class_name", metavar="C", help="the class they have to be of; theirs if left out"
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        found, units = side_by_side(snapshot, args.motors, args.class_name), units_of(snapshot)
    print(as_json(found.answer) if args.json else "\n".join(page(found, units)))
    return 0
