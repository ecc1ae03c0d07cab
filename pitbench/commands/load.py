"""`pitbench load`: sheets into the logbook. What went in goes to standard output, what is wrong to standard error."""

import argparse
import sys
from datetime import datetime
from pathlib import Path

from pitbench import bootstrap
from pitbench.commands._shared import add_json, as_json
from pitbench.desk.exchange import loading
from pitbench.records.reading import Day
from pitbench.words.loading import problem_words, report_words

NAME = "load"
HELP = "read sheets (CSV) into the logbook: classes, motors, events, bench and track runs, setup log"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument("files", nargs="+", type=Path, metavar="FILE", help="a sheet: CSV in UTF-8 with one header row")
    parser.add_argument("--check", action="store_true", help="only say what a load would do")
    parser.add_argument(
        "--replace", action="store_true", help="where a row differs from the logbook, the sheet is right"
    )
    parser.add_argument("--good-rows", action="store_true", help="store the good rows of a sheet that has bad ones")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Load, print, and say by the status whether all of it went in."""
    opened = bootstrap.open_for_trial if args.check else bootstrap.open_for_writing
    with opened(args.logbook) as logbook:
        files = loading.read_files(args.files, Day(datetime.now(), logbook.team().day_first))
        loaded = loading.load_files(logbook, files, check=args.check, replace=args.replace, good_rows=args.good_rows)
    if not args.check and any(file.added or file.replaced for file in loaded.answer.files):
        args.stored = "What could be loaded is stored"
    if args.json:
        print(as_json(loaded.answer))
    else:
        print("\n".join(report_words(loaded, check=args.check)))
    for line in problem_words(loaded):
        print(line, file=sys.stderr)
    return 0 if all(report.stored for report in loaded.reports) else 2
