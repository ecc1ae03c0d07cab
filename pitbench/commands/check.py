"""pitbench check: is the logbook whole, and what to do if not."""

import argparse
import json
from datetime import datetime

from pitbench import bootstrap
from pitbench.commands._shared import add_json
from pitbench.desk.answers import CheckAnswer, plain
from pitbench.records.harmless import harmless
from pitbench.records.spoken import counted_words, kind_words

NAME = "check"
HELP = "verifies the logbook; --accept takes a valid hand edit"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of check."""
    parser.add_argument("--accept", action="store_true", help="take an edit made by hand as it is")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """0: whole; 2: something is wrong."""
    from pitbench.desk.checking import check

    path = bootstrap.place_to_read(args.logbook)
    edited = args.accept and check(path).seal != "good"
    answer = check(path, args.accept, datetime.now())
    if edited and answer.seal == "good":
        args.stored = f"{path} is taken as it was edited"
    if args.stored and not args.json:
        print("The edit is taken as it is; the file as it was found is a backup now.")
    print(json.dumps(plain(answer)) if args.json else _words(harmless(str(path)), answer))
    return 0 if answer.ok else 2


def _words(path: str, answer: CheckAnswer) -> str:
    counts = ", ".join(kind_words(n, kind) for kind, n in answer.records.items() if n)
    none = "unknown" if None in answer.records.values() else "none"
    verdict = "is whole" if answer.ok else f"has {counted_words(len(answer.problems), 'problem')}"
    lines = [
        f"{path} {verdict}.",
        f"seal {answer.seal}, schema {answer.schema or 'unknown'}, records: {counts or none}",
        f"backups: {len(answer.backups)}",
    ]
    return "\n".join([*lines, *(f"- {harmless(problem)}" for problem in answer.problems)])
