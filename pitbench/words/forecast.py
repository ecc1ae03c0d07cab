"""A forecast in words, shared by the command, the Temperature screen and the card for the main.

Words only what the answer holds. Nothing here says that a motor is safe to touch.
"""

from pitbench.desk.answers import ForecastAnswer
from pitbench.records.spoken import capital, counted_words
from pitbench.records.team import AS_BY_DEFAULT
from pitbench.records.units import Units
from pitbench.words.ranking import chance_number

FORECAST_FLAGS = {
    "priors_only": "no track run with a reading yet: this is what motors of this kind do, and it is wide",
    "new_motor": "no track run of this motor yet",
    "new_event": "no run of this event yet",
    "rollout_outside": "the rollout lies beyond all runs so far",
    "length_outside": "the length lies beyond all runs so far",
    "reading_doubted": "a reading does not fit the others and counts little",
    "start_unknown": "taken to start at ambient",
    "start_outside": "no run so far started so far from ambient: check the start temperature",
    "delay_unknown": "most readings do not say when: write down the seconds after the finish",
    "something_changed": "something has changed: a run came in well off its forecast",
}


def forecast_words(answer: ForecastAnswer, units: Units) -> list[str]:
    """The forecast, what it stands on, what speaks against it, and a caution."""
    finish = answer.finish_temp_c
    half, nine = between(finish.low50, finish.high50, units), between(finish.low90, finish.high90, units)
    lines = [
        f"{answer.motor} should read about {units.degrees(finish.median)} one minute after the finish: "
        f"half of the time {half}, nine times in ten {nine}.",
        f"{over_words(answer, units)} {longest_words(answer, units)}",
        basis_words(answer),
    ]
    lines += [f"{capital(FORECAST_FLAGS[flag])}." for flag in answer.flags]
    return [*lines, "A hot can burns: follow your motor maker's limits and your club's rules."]


def between(low: float, high: float, units: Units) -> str:
    """Two temperatures with one unit."""
    return f"{units.degrees(low).split()[0]} to {units.degrees(high)}"


def over_words(answer: ForecastAnswer, units: Units) -> str:
    """The chance over the limit, as a sentence."""
    chance = chance_number(answer.chance_over_ceiling)
    return f"{capital(chance)} in 100 that it passes {limit_words(answer.ceiling_c, units)}."


def limit_words(ceiling_c: float, units: Units) -> str:
    """The temperature limit; the user's own once it was set.

    >>> limit_words(80.0, Units()), limit_words(75.0, Units())
    ('80 °C', 'your 75 °C')
    """
    own = "your " if ceiling_c != AS_BY_DEFAULT.ceiling_c else ""
    return f"{own}{units.degrees(ceiling_c)}"


def longest_words(answer: ForecastAnswer, units: Units) -> str:
    """The longest rollout that keeps to the chance allowed, as a sentence."""
    longest = answer.longest_rollout_mm
    if longest is None:
        return "Even half the usual rollout is more likely than 10 in 100 to pass it."
    unit = units.unit("max_rollout_mm")
    return f"Up to {units.short('max_rollout_mm', longest)} {unit} of rollout it stays under 10 in 100."


def basis_words(answer: ForecastAnswer) -> str:
    """What it was learned from."""
    basis = answer.basis
    if not basis.track_runs:
        return "From no track run."
    return f"From {counted_words(basis.track_runs, 'track run')}, {basis.same_motor} of them {answer.motor}'s."
