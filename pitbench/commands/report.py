"""`pitbench report`: a race day on paper, as HTML with its plots or as Markdown."""

import argparse
from pathlib import Path

from pitbench import bootstrap
from pitbench.desk.race_day import event_meant, race_day
from pitbench.paper.files import Taken, as_text, form_of, must_be_free, write
from pitbench.paper.race_day import document_of
from pitbench.records.harmless import harmless
from pitbench.records.refusal import Refusal

NAME = "report"
HELP = "a race day on paper: what was run, changed and brought, the ranking, the plan"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument(
        "event", metavar="EVENT", help="the event; of several of one name the newest, else with its date"
    )
    parser.add_argument("-o", dest="file", metavar="FILE", type=Path, required=True, help="ends in .html or .md")
    parser.add_argument("--replace", action="store_true", help="also over a file that is not as pitbench wrote it")


def run(args: argparse.Namespace) -> int:
    """Ask the desk and write the file."""
    form = form_of(args.file)
    try:
        again = must_be_free(args.file, bootstrap.place_to_read(args.logbook), args.replace)
    except Taken as taken:
        raise Refusal(f"{taken}; another name, or --replace to write over it, would be right.") from None
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        day = race_day(snapshot, event_meant(snapshot, args.event))
    write(args.file, as_text(document_of(day), form))
    args.stored = f"{args.file} holds the race day of {day.name}"
    print(f"{harmless(args.stored)}{', in place of the one before' if again else ''}.")
    return 0
