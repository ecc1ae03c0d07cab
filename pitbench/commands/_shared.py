"""What several commands have in common: which class is asked about, and the answer as one JSON object."""

import argparse
import json
from typing import Any

from pitbench.desk.answers import plain


def add_class(parser: argparse.ArgumentParser) -> None:
    """`--class C`, as `class_name`."""
    parser.add_argument(
        "--class",
        dest="class_name",
        metavar="C",
        help='the class ("": the motors without one); without this: that of the newest bench run',
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    """`--json`."""
    parser.add_argument("--json", action="store_true", help="the whole answer as one JSON object")


def as_json(answer: Any) -> str:
    """An answer as other programs read it."""
    return json.dumps(plain(answer), ensure_ascii=False, allow_nan=False)
