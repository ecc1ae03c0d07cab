"""`pitbench swaps`: what each part is worth, which builds are likely best, which swap to try next."""

import argparse
from collections.abc import Collection, Sequence
from dataclasses import replace

from pitbench import bootstrap
from pitbench.commands._shared import add_class, add_json, as_json
from pitbench.desk.answers import PartsAnswer, PartWorth, Spread, SwapsAnswer
from pitbench.desk.parts.parting import check_motors, parting_swap
from pitbench.desk.parts.swaps import parts_answer
from pitbench.records.fields import PART_KINDS
from pitbench.words import parts as words
from pitbench.words.aligned import aligned
from pitbench.words.ranking import chance_number

NAME = "swaps"
HELP = "what each part is worth, which builds are likely best, which swap to try next"
FIGURES = (
    ("KV", "kv_rpm_per_v"),
    ("current", "no_load_current_a"),
    ("winding", "resistance_mohm"),
    ("spread", "sensor_spread_deg"),
    ("imbalance", "pole_imbalance_pct"),
    ("Hall levels", "hall_level_spread_pct"),
)
"""Heads of the figures, in the order of their columns."""
LEFT = (0, 1)
"""Columns of names."""
MOST_BUILDS = 12


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command."""
    add_class(parser)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        answer = parts_answer(snapshot, args.class_name)
    if args.json:
        print(as_json(with_why(answer)))
    else:
        print("\n".join(page(answer, check_motors(snapshot))))
    return 0


def with_why(answer: PartsAnswer) -> SwapsAnswer:
    """What other programs rely on, the reason for the next test in its sentence."""
    swaps, advice = answer.swaps, answer.advice
    if swaps.test_next is None or advice is None:
        return swaps
    return replace(swaps, test_next=replace(swaps.test_next, why=words.why_words(advice)))


def page(answer: PartsAnswer, closed: Collection[str] = ()) -> list[str]:
    """The answer for a person: sentences, the builds, then the parts kind by kind, each with what no swap has told.

    closed: names of motors that are not to be opened.
    """
    lines = words.headline(answer)
    if answer.swaps.builds:
        lines += ["", answer.class_ or "no class", *builds_table(answer)]
    for kind in PART_KINDS:
        found = words.best_parts(answer, kind)
        if found:
            known = words.known_words(answer, kind, parting_swap(answer, kind, closed))
            lines += ["", *parts_table(kind, found), *filter(None, [known])]
    return lines


def builds_table(answer: PartsAnswer) -> list[str]:
    """The builds that score best, in aligned columns."""
    builds = answer.swaps.builds
    rows = [
        (
            words.build_words(build),
            words.place_of_build(answer, nth),
            words.margin_words(Spread(build.score_pct, build.score_low90, build.score_high90), 1),
            words.place_words(build.even_place),
            chance_number(build.chance_best),
        )
        for nth, build in enumerate(builds[:MOST_BUILDS])
    ]
    more = words.more_builds_words(builds[MOST_BUILDS:])
    heads = ("build", "in", "power at load, %", "even", "chance of best")
    return [*aligned([heads, *rows], LEFT), *filter(None, [more])]


def parts_table(kind: str, found: Sequence[tuple[PartWorth, Spread | None]]) -> list[str]:
    """The parts of one kind with what each is worth; a figure they cannot cause or nobody measured has no column."""
    figures = [
        (head, name) for head, name in FIGURES if any(words.tells(name, part.figures.get(name)) for part, _ in found)
    ]
    heads = (words.KINDS[kind], "in", "moved", "power at load, %", *(head for head, _ in figures))
    rows = [
        (
            part.part,
            part.in_ or "spare",
            str(part.moved),
            words.margin_words(power, 1),
            *(words.margin_words(part.figures.get(name), words.UNITS[name][1]) for _, name in figures),
        )
        for part, power in found
    ]
    return aligned([heads, *rows], LEFT)
