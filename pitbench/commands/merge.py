"""`pitbench merge`: takes over what another logbook has, of the same team or somebody else's."""

import argparse
from pathlib import Path

from pitbench import bootstrap
from pitbench.records.harmless import harmless
from pitbench.records.refusal import Refusal

NAME = "merge"
HELP = "takes over what another logbook has"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The other logbook, and what is said of motors of one name."""
    parser.add_argument("other", metavar="OTHER", type=Path, help="the other logbook; it is only read")
    parser.add_argument("--same", metavar="M", action="append", default=[], help="motor M is one in both logbooks")
    parser.add_argument("--apart", metavar="M", action="append", default=[], help="there are two motors M: keep both")
    parser.add_argument("--owner", metavar="NAME", help="motors that come in are NAME's, not ranked among yours")


def run(args: argparse.Namespace) -> int:
    """One change in this logbook, or none."""
    from pitbench.desk.exchange.merging import merge
    from pitbench.desk.exchange.merging_pairs import told
    from pitbench.words.merging import merge_words

    said = told(args.same, args.apart, args.owner, args.other.stem)
    with bootstrap.open_other(args.other) as other, bootstrap.open_for_writing(args.logbook) as logbook:
        other.verify()
        logbook.verify()
        if _is_same(other.path, logbook.path):
            raise Refusal(f"{args.other} is this logbook itself, another one would be right.")
        found = merge(logbook, other.snapshot(), f"merge of {args.other.name}", said)
        args.stored = f"What {args.other.name} has is merged"
    print("\n".join(merge_words(found, harmless(args.other.name))))
    return 0


def _is_same(one: Path | None, other: Path | None) -> bool:
    """Also under two names; one that no save has made yet is no other's."""
    return one is not None and other is not None and other.exists() and one.samefile(other)
