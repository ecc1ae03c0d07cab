"""The blocks of the card for the main: chances and finish temperatures as bars, sentences under their heads."""

from collections.abc import Sequence
from math import floor

from pitbench.app.widgets.intervals import LEGEND, LIMIT, Interval, interval_bar, share_bar
from pitbench.app.widgets.paint import Line, Role, Span, fitted, line, wrapped
from pitbench.app.widgets.scale import Scale
from pitbench.desk.forecasting.temperature_plan import PlanAnswer, PlanLine
from pitbench.records.numbers import shown
from pitbench.records.units import Units
from pitbench.words.main_card import chance_over_words
from pitbench.words.ranking import chance_number

NAME, NUMBER, TEETH, OVER, GAP = 10, 8, 14, 11, 2
"""Cells of a motor's name and its chance, of a pinion with what it comes in at, of the chance over the limit."""
LEGEND_OF_HEAT = f"{LEGEND}   {LIMIT} your limit"


def chance_lines(shares: Sequence[tuple[str, float]], width: int) -> list[Line]:
    """A head, and every motor with its chance of being best as a bar."""
    bar = width - GAP - 3 - NAME - 1 - NUMBER
    lines = [line(("   CHANCE OF BEING BEST", "strong"))]
    for nth, (name, chance) in enumerate(shares):
        role: Role = "text" if nth else "accent"
        drawn = f"{fitted(name, NAME)} {fitted(share_bar(chance, bar), bar)}{chance_number(chance):>{NUMBER}}"
        lines.append(line("   ", (drawn, role)))
    return lines


def heat_lines(planned: PlanAnswer, ceiling_c: float, units: Units, width: int) -> list[Line]:
    """A head with its scale, and every pinion: what it comes in at as a bar, the limit in it, and the chance over."""
    limit = units.warmth(ceiling_c)
    bars = [_interval(each, units) for each in planned.lines]
    ends = [end for bar in bars for end in (bar.low90, bar.high90)]
    scale = Scale([*ends, limit], width - 2 - TEETH - OVER, signed=False)
    over = f"over {limit:.0f} °{units.temperature}"
    title: Span = (fitted("  COMES IN AT", TEETH + 2), "strong")
    lines: list[Line] = [(title, (scale.head, "quiet"), (f"{over:>{OVER}}", "quiet"))]
    for each, bar in zip(planned.lines, bars, strict=True):
        teeth = f"{shown(each.pinion)} teeth {floor(bar.mean + 0.5)}°"
        told = chance_over_words(each.chance_over)
        role: Role = "accent" if each.planned else "text"
        lines.append(
            (
                _mark(each),
                (fitted(teeth, TEETH), role),
                *interval_bar(bar, scale, limit, role),
                (f"{told:>{OVER}}", "warn" if told.startswith("!") else role),
            )
        )
    return lines


def _interval(each: PlanLine, units: Units) -> Interval:
    found = each.finish
    low90, low50, middle, high50, high90 = map(
        units.warmth, (found.low90, found.low50, found.median, found.high50, found.high90)
    )
    return Interval("", low90, low50, middle, high50, high90)


def _mark(each: PlanLine) -> Span:
    if each.planned:
        return ("▸ ", "accent")
    return ("! ", "bad") if each.illegal else ("  ", "text")


def sentences(head: str, told: Sequence[str], width: int) -> list[Line]:
    """A head, and under it every sentence with its mark; a word where there is none."""
    if not told:
        return [line((f"   {head}", "strong"), ("  nothing", "quiet"))]
    lines = [line((f"   {head}", "strong"))]
    for text in told:
        lines += [line(("     " if nth else "   ! ", "warn"), row) for nth, row in enumerate(wrapped(text, width - 6))]
    return lines


def headed(text: str, width: int) -> list[Line]:
    """A sentence whose words in capitals stand out."""
    words = text.split()
    capitals = next((at for at, word in enumerate(words) if not word.rstrip(":").isupper() and not word.isdigit()), 0)
    head = " ".join(words[:capitals])
    rows = wrapped(text, width - 4)
    first = rows[0].removeprefix(head) if rows else ""
    return [line("   ", (head, "strong"), first), *(line("   ", row) for row in rows[1:])]
