"""How the motors of a class stand to each other, as `against` works it out: plain, since screens show it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from pitbench.desk.answers import Spread


@dataclass(frozen=True)
class AgainstClass:
    """Means of the class, rpm/V and A, and by motor how far its KV lies from that mean, rpm/V; None, or not in it,
    where no run reads it. All at 25 °C and equal timing, as the ranking has them."""

    kv: float | None = None
    current: float | None = None
    kv_by_motor: Mapping[str, Spread] = field(default_factory=dict)


@dataclass(frozen=True)
class LeadsBy:
    """The figure that adds most to the leader's score, what it has of it, and the mean of the class."""

    figure: str
    own: float
    others: float
