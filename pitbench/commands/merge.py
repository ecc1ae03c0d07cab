"""`pitbench merge`: takes over what another logbook of the same team has."""

import argparse
from pathlib import Path

from pitbench import bootstrap
from pitbench.records.refusal import Refusal

NAME = "merge"
HELP = "takes over what another logbook of the same team has"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The other logbook."""
    parser.add_argument("other", metavar="OTHER", type=Path, help="the other logbook; it is only read")


def run(args: argparse.Namespace) -> int:
    """One change in this logbook, or none."""
    from pitbench.desk.exchange.merging import merge
    from pitbench.desk.exchange.merging_words import merge_words

    if not args.other.exists():
        raise Refusal(f"{args.other} does not exist, the path of the other logbook would be right.")
    with bootstrap.open_for_reading(args.other) as other, bootstrap.open_for_writing(args.logbook) as logbook:
        other.verify()
        if other.path == logbook.path:
            raise Refusal(f"{args.other} is this logbook itself, another one would be right.")
        found = merge(logbook, other.snapshot(), f"merge of {args.other.name}")
    print("\n".join(merge_words(found, args.other.name)))
    return 0
