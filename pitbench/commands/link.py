"""`pitbench link`: which bench figures told about pace and finish temperature on the track."""

import argparse

from pitbench import bootstrap
from pitbench.commands._shared import add_class, add_json, as_json
from pitbench.desk.answers import LinkPage
from pitbench.desk.comparing.link_page import link_page
from pitbench.records.spoken import FIGURES, capital
from pitbench.records.units import Units, units_of
from pitbench.words import link as words
from pitbench.words.aligned import aligned

NAME = "link"
HELP = "which bench figures told about pace and finish temperature on the track"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    add_class(parser)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        page = link_page(snapshot, args.class_name)
    if args.json:
        print(as_json(page.answer))
    else:
        print("\n".join([*words.headline(page), *tables(page, units_of(snapshot))]))
    return 0


def tables(page: LinkPage, units: Units) -> list[str]:
    """A table for each target: figure, better side, skill, luck, and what a margin brought."""
    lines: list[str] = []
    for target, spoken in words.TARGETS.items():
        rows = [
            (
                FIGURES[each.figure],
                words.side_words(each),
                words.skill_cell(each.skill),
                words.luck_cell(each.p_value),
                words.margin_words(page, each.figure),
                words.brought_words(page, target, each.figure, units),
            )
            for each in page.answer.targets[target]
        ]
        if rows:
            heads = (capital(spoken), "better", "than guessing", "luck alone", "one margin more", "brought")
            lines += ["", *aligned([heads, *rows], left=range(len(heads)))]
    return lines
