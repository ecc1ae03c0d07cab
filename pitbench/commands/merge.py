"""`pitbench merge`: takes over what another logbook of the same team has."""

import argparse
from pathlib import Path

from pitbench import bootstrap
from pitbench.records.harmless import harmless
from pitbench.records.refusal import Refusal

NAME = "merge"
HELP = "takes over what another logbook of the same team has"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The other logbook."""
    parser.add_argument("other", metavar="OTHER", type=Path, help="the other logbook; it is only read")


def run(args: argparse.Namespace) -> int:
    """One change in this logbook, or none."""
    from pitbench.desk.exchange.merging import merge
    from pitbench.words.merging import merge_words

    with bootstrap.open_other(args.other) as other, bootstrap.open_for_writing(args.logbook) as logbook:
        other.verify()
        logbook.verify()
        if _is_same(other.path, logbook.path):
            raise Refusal(f"{args.other} is this logbook itself, another one would be right.")
        found = merge(logbook, other.snapshot(), f"merge of {args.other.name}")
        args.stored = f"What {args.other.name} has is merged"
    print("\n".join(merge_words(found, harmless(args.other.name))))
    return 0


def _is_same(one: Path | None, other: Path | None) -> bool:
    """Also under two names; one that no save has made yet is no other's."""
    return one is not None and other is not None and other.exists() and one.samefile(other)
