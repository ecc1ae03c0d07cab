"""The weights tried in words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pitbench.records.spoken import listed

if TYPE_CHECKING:
    from pitbench.desk.comparing.weights import Trial


def trials_words(trials: "Sequence[Trial]") -> str:
    """Whether the order hangs on the weights, in a sentence."""
    if len(trials) == 1:
        return "No figure has weight, so power at load alone makes the order. w gives weights."
    leader = trials[0].leader
    others = [trial for trial in trials if trial.leader != leader]
    if others:
        parts = listed([f"{trial.leader} ({trial.label})" for trial in others])
        return f"Who leads hangs on the weights: {leader} as they are set; else {parts}."
    orders = {tuple(name for name, _ in trial.scores) for trial in trials}
    rest = "others change places" if len(orders) > 1 else "nobody changes place"
    return f"{leader} leads with any one weight halved or doubled, and by power at load alone; {rest}."
