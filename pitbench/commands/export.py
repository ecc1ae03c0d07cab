"""`pitbench export`: the logbook as sheets in a folder, which `load` takes back as they were."""

import argparse
from pathlib import Path

from pitbench import bootstrap
from pitbench.desk.exchange.exporting import export
from pitbench.records.harmless import harmless
from pitbench.records.spoken import kind_words

NAME = "export"
HELP = "write the logbook as sheets (CSV) into a folder"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument("folder", type=Path, metavar="DIR", help="the folder, made if it does not exist")


def run(args: argparse.Namespace) -> int:
    """Write the sheets and name them."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        logbook.verify()  # what leaves is a record, whatever a seal lets pass
        written, removed = export(logbook.snapshot(), args.folder)
        logs = len(logbook.rows("load_log"))
    if written:
        args.stored = f"The sheets are in {args.folder}"
    said = [f"{', '.join(written)} written"] if written else []
    said += [f"{', '.join(removed)} of an earlier export removed"] if removed else []
    if logs:
        print(
            f"{kind_words(logs, 'load_log')} in no sheet: the logbook keeps what they came to, a merge brings it along."
        )
    print(
        f"{harmless(str(args.folder))}: {'; '.join(said)}."
        if said
        else "Nothing to export, the logbook holds no records yet."
    )
    return 0
