"""KV and current of the motors of one comparison, told against their class: what the screen of Motors shows of them.

A tester's mood moves all motors alike, so the difference from their mean is known far better than the figure itself.
Both are worked out draw by draw; widths of figures are never put together anywhere else.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pitbench.desk.answers import Spread
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
