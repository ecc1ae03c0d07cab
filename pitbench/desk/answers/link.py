"""Which bench figures told about the track."""

from dataclasses import dataclass, field

from pitbench.desk.answers.shared import Spread


@dataclass(frozen=True)
class LinkedFigure:
    """How well a bench figure told of one target, inside events that were left out; None: it could not be tried.

    skill: how much smaller the error than that of the event's mean; p_value: that luck alone would do it, corrected for
    all that was tried; better: whether motors with the higher or the lower figure did better.
    """

    figure: str
    skill: float | None
    p_value: float | None
    better: str | None


@dataclass(frozen=True)
class LinkAnswer:
    """Which bench figures told about the track, by target; lists are empty until there is enough."""

    enough: bool
    missing_runs: int
    missing_motors: int
    missing_events: int
    targets: dict[str, list[LinkedFigure]]


@dataclass(frozen=True)
class WeightOffer:
    """A weight for a figure that the link would justify; nothing counts before the user takes it."""

    figure: str
    weight: float


@dataclass(frozen=True, kw_only=True)
class LinkPage:
    """All that is said of the link of one class; `answer` is what other programs rely on, the rest is for people.

    runs, raced, events: runs compared inside events, motors that ran beside others, and the events. Of every motor of
    the ranking: figures, as the bench has them, and levels by target, seconds a lap or °C against their mean, None
    where unknown. margins in the figures' units; per_margin: by target and figure, seconds a lap or °C that one margin
    more brought. unseen_learned: whether what the bench cannot see is what the link leaves over.
    """

    class_: str | None
    answer: LinkAnswer
    runs: int = 0
    raced: int = 0
    events: int = 0
    motors: list[str]
    figures: dict[str, list[Spread | None]] = field(default_factory=dict)
    levels: dict[str, list[Spread | None]] = field(default_factory=dict)
    margins: dict[str, float] = field(default_factory=dict)
    per_margin: dict[str, dict[str, float | None]] = field(default_factory=dict)
    offers: list[WeightOffer] = field(default_factory=list)
    unseen_pct: float | None = None
    unseen_learned: bool = False
