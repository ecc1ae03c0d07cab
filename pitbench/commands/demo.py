"""`pitbench demo`: look round in the invented club weekend. The demo's own logbook is only ever copied from here."""

import argparse
import tempfile
from pathlib import Path
from typing import BinaryIO

from pitbench import bootstrap
from pitbench.demo import demo_logbook
from pitbench.records.harmless import harmless
from pitbench.records.refusal import Refusal

NAME = "demo"
HELP = "opens the app on a throw-away copy of an invented club weekend"
FAULT = 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help="write that logbook to a new file instead of opening the app"
    )


def run(args: argparse.Namespace) -> int:
    """Open the app on a copy that is gone afterwards, or write the copy."""
    if args.to is not None:
        write_copy(args.to)
        args.stored = f"{args.to} holds the demo weekend"
        print(harmless(f"{args.stored}; `{bootstrap.how_to_open(args.to)}` opens it."))
        return 0
    with tempfile.TemporaryDirectory(prefix="pitbench-demo-", ignore_cleanup_errors=True) as folder:
        copy = Path(folder) / demo_logbook().name
        write_copy(copy)
        return bootstrap.run_app(copy, demo=True)


def write_copy(target: Path) -> None:
    """Write the demo's logbook to a file that is not there yet; a half-written one does not stay behind."""
    try:
        content = demo_logbook().read_bytes()
    except OSError:
        raise Refusal(f"{demo_logbook()} cannot be read; install pitbench again.", FAULT) from None
    try:
        target.touch(0o600, exist_ok=False)
        with target.open("r+b") as file:
            _fill(file, target, content)
    except FileExistsError:
        raise Refusal(f"{target} is there already and stays as it is; name a new file after --to.") from None
    except (FileNotFoundError, NotADirectoryError):
        raise Refusal(f"{target.parent} is no folder; make it, or name a file in a folder that is there.") from None
    except PermissionError:
        raise Refusal(f"{target.parent} may not be written by you; name a file in a folder of your own.") from None


def _fill(file: BinaryIO, target: Path, content: bytes) -> None:
    try:
        file.write(content)
        file.flush()
    except OSError as error:
        target.unlink(missing_ok=True)
        why = (error.strerror or type(error).__name__).lower()
        raise Refusal(f"{target} was not written ({why}); name a file on another disk after --to.", FAULT) from None
