"""pitbench restore: lists the backups of the logbook, or brings one back."""

import argparse

from pitbench import bootstrap
from pitbench.records.harmless import harmless

NAME = "restore"
HELP = "lists or restores backups"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which backup."""
    parser.add_argument("which", nargs="?", metavar="WHICH", help="a number of the list, or newest; left out: the list")


def run(args: argparse.Namespace) -> int:
    """Always 0; what cannot be done is a Refusal."""
    from pitbench.desk.checking import list_backups, restore
    from pitbench.words.backups import backup_words, restored_words

    path = bootstrap.place_to_read(args.logbook)
    if args.which is not None:
        words = restored_words(path, *restore(path, args.which))
        args.stored = f"{path} is restored"
        print(harmless(words))
        return 0
    lines = [backup_words(*found) for found in list_backups(path)]
    print(
        "\n".join(lines)
        if lines
        else f"{harmless(str(path))} has no backups yet, every save after the first makes one."
    )
    return 0
