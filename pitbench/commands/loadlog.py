"""`pitbench loadlog`: the log of a speed control into the logbook, and what the motor gave under load."""

import argparse
from datetime import datetime
from pathlib import Path

from pitbench import bootstrap
from pitbench.commands._shared import add_json, as_json
from pitbench.desk.load import loading
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.records.units import units_of
from pitbench.words.load_log import load_log_words

NAME = "loadlog"
HELP = "read the log of a speed control (CSV): KV, resistance and power under load"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument("file", type=Path, metavar="FILE", help="the log: CSV with one row a sample")
    parser.add_argument("--motor", metavar="M", required=True, help="the motor that was in the car")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--run", metavar="STARTED_AT", help="the track run it was written in, by its start")
    where.add_argument("--bench", action="store_true", help="it was written on the bench, in no outing")
    parser.add_argument(
        "--map",
        metavar="COLUMN=HEADER",
        action="append",
        default=[],
        help="which header is which column, like time_s=Zeit; remembered for files with these headers",
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Read, store, print."""
    asked = loading.Asked(args.motor, args.run, args.bench, _columns(args.map))
    with bootstrap.open_for_writing(args.logbook) as logbook:
        day = Day(datetime.now(), logbook.team().day_first)
        answer = loading.keep(logbook, loading.found(logbook.snapshot(), args.file, asked, day))
        units = units_of(logbook)
    if answer.stored:
        args.stored = "The log is stored"
    if args.json:
        print(as_json(answer))
    else:
        print("\n".join(load_log_words(answer, units)))
    return 0


def _columns(given: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for each in given:
        column, sign, header = each.partition("=")
        column = column.strip().casefold()
        if not (sign and column and header.strip()):
            raise Refusal(f"--map {each!r} says no column and header, --map time_s=Zeit would be right.")
        if column in found:
            raise Refusal(f"--map names {column} twice, once would be right.")
        found[column] = header.strip()
    return found
