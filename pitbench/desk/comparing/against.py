"""The motors of one comparison told against their class: KV and current, and what the leader leads by.

A tester's mood moves all motors alike, so the difference from their mean is known far better than the figure itself.
Both are worked out draw by draw; widths of figures are never put together anywhere else.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pitbench.desk.answers import Spread
from pitbench.desk.comparing.ranking import Compared
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import CURRENT, KV
from pitbench.figures.intervals import intervals


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


def leads_by(compared: Compared) -> LeadsBy | None:
    """What the leader of a class leads by; None where nothing compares, or where no single figure does it."""
    from pitbench.figures.leading import leads_by as parts_of_lead

    names = [motor["name"] for motor in compared.gathered.motors]
    leader, drawn = compared.leader(), compared.drawn
    if leader is None or drawn is None:
        return None
    at = names.index(leader)
    margins = {name: value for name, value in compared.settings.margins.items() if value > 0}
    found = parts_of_lead(drawn, at, compared.settings.weights, margins)
    figure = max(found, key=found.__getitem__)
    if found[figure] <= 0 or not drawn.known(figure, at):
        return None
    values = drawn.values[figure].mean(axis=0)
    return LeadsBy(figure, float(values[at]), float((values.sum() - values[at]) / (len(names) - 1)))


def against_class(drawn: Drawn | None, names: Sequence[str]) -> AgainstClass:
    """names: of the motors of the comparison, in their order."""
    if drawn is None:
        return AgainstClass()
    read = {name: [motor for motor in range(len(names)) if drawn.known(name, motor)] for name in (KV, CURRENT)}
    means = {name: drawn.values[name][:, motors].mean(axis=1) for name, motors in read.items() if motors}
    found: dict[str, Spread] = {}
    if len(read[KV]) > 1:
        away = intervals(drawn.values[KV][:, read[KV]] - means[KV][:, None])
        found = {names[m]: Spread(s.mean, s.low90, s.high90) for m, s in zip(read[KV], away, strict=True)}
    level = {name: float(each.mean()) for name, each in means.items()}
    return AgainstClass(level.get(KV), level.get(CURRENT), found)
