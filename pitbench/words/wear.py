"""Whether a motor gets slower, and what its bench figures say of why, in sentences; where the data carry them."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.spoken import counted_words
from pitbench.records.stamps import friendly
from pitbench.words.ranking import in_100

if TYPE_CHECKING:
    from pitbench.desk.comparing.worn import FigureWear, MotorWear
    from pitbench.desk.lists.motor_page import ShortOf

POWER, KV, CURRENT = "load_power_w", "kv_rpm_per_v", "no_load_current_a"
SPREAD, POLES = "sensor_spread_deg", "pole_imbalance_pct"
LIKELY, UNLIKELY = 0.70, 0.30
FULL = "at equal timing and warmth"


def slower_words(wear: MotorWear) -> str:
    """Whether the motor is slower than it was, and the chance that it gets slower still."""
    power = wear.figures.get(POWER)
    seen = power is not None and power.change.way < 0
    if power is not None and seen:
        change = power.change
        between = f"{change.mean:+z.1f} %, {change.low90:+z.1f} to {change.high90:+z.1f}"
        first = f"Slower than it was, power at load {between}, over {wear.minutes:.0f} track minutes"
    elif wear.falls >= LIKELY:
        first = "Getting slower"
    elif wear.falls > UNLIKELY:
        first = "Perhaps getting slower"
    else:
        first = "Not getting slower, as far as the bench tells"
    cost = f"{'another ' if seen else ''}{wear.margin_pct:g} %{'' if seen else ' of power at load'}"
    return f"{first}: {in_100(wear.falls)} that the next 60 track minutes cost it {cost}."


def drift_words(wear: MotorWear) -> str:
    """What changed and luck does not explain, and what that looks like; empty where nothing did."""
    causes = [*_magnets_or_drag(wear), *_board(wear)]
    poles = wear.figures.get(POLES)
    if poles is not None and poles.drifts:
        causes.append(
            f"Pole imbalance {poles.change.mean:+.1f} points: the magnets are no longer as even as they were."
        )
    return " ".join(causes)


def _magnets_or_drag(wear: MotorWear) -> list[str]:
    kv, current = wear.figures.get(KV), wear.figures.get(CURRENT)
    if kv is None or current is None or not (kv.drifts or current.drifts):
        return []
    if kv.change.way > 0 and current.change.way > 0:
        return [f"KV and current up {FULL}: its magnets have lost flux."]
    if current.drifts and kv.change.way == 0:
        return ["Current up, KV level: drag. Look at the bearings, and whether something rubs."]
    moved = "KV" if kv.drifts else "Current"
    return [f"{moved} up {FULL}; the bench does not say why."]


def _board(wear: MotorWear) -> list[str]:
    spread = wear.figures.get(SPREAD)
    if spread is None or not spread.drifts:
        return []
    return [f"Sensor spread {spread.change.mean:+.1f}°: the sensor board has moved."]


def short_words(wear: MotorWear, now: datetime) -> str:
    """What drifts, for a line about the motor: the figures with their changes."""
    shown = [
        (KV, "KV", 0, "rpm/V"),
        (CURRENT, "current", 2, "A"),
        (SPREAD, "sensor spread", 1, "°"),
        (POLES, "pole imbalance", 1, "points"),
    ]
    told = [
        f"{label} {moved_words(wear.figures[name], decimals, unit, wear.minutes, now)}"
        for name, label, decimals, unit in shown
        if name in wear.figures and wear.figures[name].drifts
    ]
    return "; ".join(told)


def moved_words(figure: FigureWear, decimals: int, unit: str, minutes: float, now: datetime) -> str:
    """By how much a figure moved, and over what; the range holds it nine times in ten."""
    change, gap = figure.change, "" if unit == "°" else " "
    when = f"since {friendly(figure.since, now)}" if figure.since else f"over {minutes:.0f} track minutes"
    numbers = f"{change.mean:+z.{decimals}f}{gap}{unit} {when}"
    between = f"{change.low90:+z.{decimals}f} to {change.high90:+z.{decimals}f}"
    return f"{('level', 'up', 'down')[change.way]}: {numbers}, {between}"


def too_early_words(short: ShortOf) -> str:
    """What is missing before anything can be said of wear.

    >>> from types import SimpleNamespace as ShortOf
    >>> too_early_words(ShortOf(sessions=2, raced=True))
    'too early to say: 2 more bench sessions with KV and current needed'
    >>> too_early_words(ShortOf(sessions=1, raced=False))
    'too early to say: 1 more bench session needed, raced between'
    >>> too_early_words(ShortOf(sessions=0, raced=False))
    'too early to say: not raced between its bench sessions yet'
    """
    if not short.sessions:
        return "too early to say: not raced between its bench sessions yet"
    sessions = counted_words(short.sessions, "more bench session")
    return f"too early to say: {sessions} {'with KV and current needed' if short.raced else 'needed, raced between'}"
