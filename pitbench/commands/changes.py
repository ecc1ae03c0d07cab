"""`pitbench changes`: what each change brought, on the bench and on the track."""

import argparse

from pitbench import bootstrap
from pitbench.commands._shared import add_json, as_json
from pitbench.desk.changes.judged import asked, changes_of
from pitbench.records.units import units_of
from pitbench.words.changes import NO_CHANGES, change_lines

NAME = "changes"
HELP = "what each change brought, before and after it"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument("--motor", metavar="M", help="only changes of this motor")
    parser.add_argument("--event", metavar="E", help="only changes at this event")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        found, units = asked(snapshot, args.motor, args.event), units_of(snapshot)
    if args.json:
        print(as_json(changes_of(found)))
    else:
        print("\n\n".join("\n".join(change_lines(each, units)) for each in found) or NO_CHANGES)
    return 0
