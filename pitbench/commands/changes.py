"""`pitbench changes`: what each change brought, on the bench and on the track."""

import argparse
import json

from pitbench import bootstrap
from pitbench.desk.answers import plain
from pitbench.desk.changes.judged import asked, changes_of
from pitbench.records.units import units_of
from pitbench.words.changes import NO_CHANGES, change_lines

NAME = "changes"
HELP = "what each change brought, before and after it"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument("--motor", metavar="M", help="only changes of this motor")
    parser.add_argument("--event", metavar="E", help="only changes at this event")
    parser.add_argument("--json", action="store_true", help="the whole answer as one JSON object")


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        found, units = asked(snapshot, args.motor, args.event), units_of(snapshot)
    if args.json:
        print(json.dumps(plain(changes_of(found)), ensure_ascii=False, allow_nan=False))
    else:
        print("\n\n".join("\n".join(change_lines(each, units)) for each in found) or NO_CHANGES)
    return 0
