"""The bench-to-track link in words: what told about the track, how sure, what is missing, which weight it offers.

No skill is worded without what luck alone would do: the best of seven figures has some by chance.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.numbers import shown
from pitbench.records.spoken import FIGURES, capital, listed, number_word

if TYPE_CHECKING:
    from pitbench.desk.answers import LinkAnswer, LinkedFigure, LinkPage
    from pitbench.records.units import Units

TARGETS = {"track_pace_s": "pace", "finish_temp_c": "finish temperature"}
SURE = 0.05
"""Up to so often luck alone does it, it is said that a figure told."""
UNITS = {
    "load_power_w": "%",
    "kv_rpm_per_v": "rpm/V",
    "no_load_current_a": "A",
    "speed_per_amp": "",
    "sensor_spread_deg": "°",
    "pole_imbalance_pct": "%",
    "hall_level_spread_pct": "%",
}
_PLACES = {"kv_rpm_per_v": 0, "speed_per_amp": 0, "no_load_current_a": 2}


def headline(page: LinkPage, *targets: str) -> list[str]:
    """The answer in sentences: what told about these targets (none: about all), what is left over, weights offered."""
    if not page.answer.enough:
        return [
            not_enough(page.answer),
            "It compares motors run beside each other at one event, as they are built now.",
        ]
    told = [_told(page, target) for target in targets or TARGETS]
    return [*told, *filter(None, [unseen_words(page), offers_words(page)])]


def not_enough(answer: LinkAnswer) -> str:
    """What is missing before anything can be told."""
    missing = [
        _count(answer.missing_events, "event"),
        _count(answer.missing_motors, "motor", " run beside others"),
        _count(answer.missing_runs, "track run"),
    ]
    return (
        f"Not enough yet to say which bench figures tell about the track: it takes {listed([m for m in missing if m])}."
    )


def _count(number: int, what: str, rest: str = "") -> str:
    return f"{number_word(number)} more {what}{'s' if number > 1 else ''}{rest}" if number else ""


def _told(page: LinkPage, target: str) -> str:
    figures, spoken = page.answer.targets[target], capital(TARGETS[target])
    best = figures[0]
    if best.p_value is None:
        return f"{spoken}: not enough runs of its own yet."
    name, luck = FIGURES[best.figure], f"luck alone would do this {luck_words(best.p_value)}"
    if best.p_value > SURE:
        return f"{spoken}: no bench figure told it. {capital(name)} came nearest, but {luck}."
    others = [FIGURES[each.figure] for each in figures[1:] if each.p_value is not None and each.p_value <= SURE]
    also = f" {capital(listed(others))} told it too." if others else ""
    return f"{spoken}: {name} told it, {side_words(best)} is better, {skill_words(best.skill)}; {luck}.{also}"


def side_words(figure: LinkedFigure) -> str:
    """Which side was better, a word; nothing where it is not known."""
    return figure.better or "·"


def luck_words(p_value: float) -> str:
    """How often luck alone would do as much.

    >>> luck_words(0.04), luck_words(0.0005), luck_words(0.37), luck_words(0.8)
    ('1 time in 25', 'less than 1 time in 1000', '1 time in 3', 'most times')
    """
    if p_value < 0.001:
        return "less than 1 time in 1000"
    return "most times" if p_value > 0.6 else f"1 time in {round(1 / p_value)}"


def skill_words(skill: float | None) -> str:
    """How much better than guessing.

    >>> skill_words(0.37), skill_words(-0.2)
    ('37 % better than guessing', 'no better than guessing')
    """
    cell = skill_cell(skill)
    return "no better than guessing" if cell in ("·", "none") else f"{cell} better than guessing"


def skill_cell(skill: float | None) -> str:
    """The same in a table."""
    if skill is None:
        return "·"
    return "none" if skill < 0.005 else f"{100 * skill:.0f} %"


def luck_cell(p_value: float | None) -> str:
    """How often luck alone would do as much, in a table.

    >>> luck_cell(0.04), luck_cell(0.0005), luck_cell(None)
    ('1 in 25', '< 1 in 1000', '·')
    """
    if p_value is None:
        return "·"
    return luck_words(p_value).replace("less than", "<").replace("1 time in", "1 in")


def brought_words(page: LinkPage, target: str, figure: str, units: Units) -> str:
    """What one margin more of the figure brought, on average; a point where it was not tried."""
    brought = page.per_margin.get(target, {}).get(figure)
    if brought is None:
        return "·"
    if target == "track_pace_s":
        return f"{abs(brought):.3f} s {'slower' if brought > 0 else 'faster'}"
    return f"{abs(brought) * units.per_kelvin:.1f} °{units.temperature} {'hotter' if brought > 0 else 'cooler'}"


def place_words(name: str, units: Units | None = None) -> str:
    """A figure, or what it told about, as an axis is named."""
    if name == "track_pace_s":
        return "pace, s a lap, below 0 is faster"
    if name == "finish_temp_c" and units is not None:
        return f"finish temperature, °{units.temperature} off the others"
    return ", ".join(filter(None, [FIGURES[name], UNITS[name]]))


def margin_words(page: LinkPage, figure: str) -> str:
    """One margin of a figure with its unit."""
    margin = shown(round(page.margins[figure], _PLACES.get(figure, 1)))
    return f"{margin} {UNITS[figure]}".strip()


def unseen_words(page: LinkPage) -> str:
    """What the link leaves over, once it is known."""
    if not page.unseen_learned or page.unseen_pct is None:
        return ""
    return f"What the bench cannot see is {page.unseen_pct:.2f} % of power by these runs; Rankings counts with it."


def offers_words(page: LinkPage) -> str:
    """The weights that are offered, and how they are taken."""
    if not page.offers:
        return ""
    each = listed([f"{FIGURES[offer.figure]} {offer.weight:g}" for offer in page.offers])
    return f"Offered as weight, not counted yet: {each} ({key_for('edit-weights')})."
