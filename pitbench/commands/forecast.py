"""`pitbench forecast`: what a motor will finish at with the planned gearing, length and ambient."""

import argparse
from dataclasses import replace

from pitbench import bootstrap
from pitbench.commands._shared import add_json, as_json
from pitbench.desk.forecasting.forecast import forecast_of
from pitbench.records.units import units_of
from pitbench.words.forecast import forecast_words

NAME = "forecast"
IN_WORDS_ALONE = ("start_outside",)
"""Doubts that are said but are not among the flags other programs know."""
HELP = "finish temperature of a motor for a planned run"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of this command; only the motor must be given."""
    parser.add_argument("--motor", metavar="M", required=True, help="the motor; the rest comes from its last track run")
    parser.add_argument("--pinion", metavar="N", type=float, help="teeth of the pinion")
    parser.add_argument("--spur", metavar="N", type=float, help="teeth of the spur")
    parser.add_argument("--minutes", metavar="X", type=float, help="length of the run")
    parser.add_argument("--ambient", metavar="C", type=float, help="air temperature, °C")
    parser.add_argument("--internal-ratio", metavar="R", type=float, help="the gearbox's fixed ratio")
    parser.add_argument("--tyre-mm", metavar="D", type=float, help="tyre diameter today, mm")
    parser.add_argument("--timing", metavar="T", type=float, help="timing mark, degrees")
    parser.add_argument("--start", metavar="C", type=float, help="can temperature at the start, °C; else ambient")
    parser.add_argument("--event", metavar="E", help="the event; else that of the newest run")
    parser.add_argument("--ceiling", metavar="C", type=float, help="temperature limit, °C; else the one set")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the desk and print."""
    with bootstrap.open_for_reading(args.logbook) as logbook:
        snapshot = logbook.snapshot()
        ceiling = snapshot.team().ceiling_c if args.ceiling is None else args.ceiling
        answer = forecast_of(snapshot, args.motor, args.event, ceiling, _given(args))
        units = units_of(snapshot)
    if args.json:
        known = replace(answer, flags=[flag for flag in answer.flags if flag not in IN_WORDS_ALONE])
        print(as_json(known))
    else:
        print("\n".join(forecast_words(answer, units)))
    return 0


def _given(args: argparse.Namespace) -> dict[str, float | None]:
    return {
        "pinion": args.pinion,
        "spur": args.spur,
        "length_s": None if args.minutes is None else 60 * args.minutes,
        "ambient_c": args.ambient,
        "internal_ratio": args.internal_ratio,
        "tyre_diameter_mm": args.tyre_mm,
        "timing_mark_deg": args.timing,
        "start_c": args.start,
    }
