"""The link as people see it: beside the answer what was seen of every motor, and the weights that are offered."""

import numpy as np

from pitbench.desk.answers import LinkPage, Spread, WeightOffer
from pitbench.desk.comparing.link import BENCH, NONE_YET, PACE, POWER, Linked
from pitbench.desk.comparing.ranking import Compared, compare
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import GOALS
from pitbench.figures.intervals import intervals
from pitbench.figures.link import Season
from pitbench.figures.link_weight import slope_beside, weight_of_figure, weight_of_pace
from pitbench.figures.ranking import margins_of
from pitbench.store.logbook import Snapshot

Z_90 = 1.645


def link_page(snapshot: Snapshot, class_name: str | None = None) -> LinkPage:
    """The link of a class by name, or NO_CLASS (None: that of the newest bench run); Refusal for an unknown one."""
    compared = compare(snapshot, class_name)
    sheet = compared.gathered.class_row
    class_, motors = sheet["name"] if sheet else None, [motor["name"] for motor in compared.gathered.motors]
    found, drawn = compared.link, compared.drawn
    if found is None or drawn is None:
        return LinkPage(class_=class_, answer=NONE_YET, motors=motors)
    margins, seen = _margins(compared, drawn), found.widest
    return LinkPage(
        class_=class_,
        answer=found.answer(),
        runs=seen.runs,
        raced=int(seen.motors.sum()),
        events=seen.by_event.shape[0],
        motors=motors,
        figures={name: _spreads(drawn, found, name) for name in BENCH},
        levels={name: _levels(each, found.scale[name]) for name, each in found.seasons.items()},
        margins=margins,
        per_margin={
            target: {name: _brought(found, target, name, margins[name]) for name in BENCH} for target in found.seasons
        },
        offers=offers(compared),
        unseen_pct=found.unseen_pct,
        unseen_learned=found.power_known,
    )


def _margins(compared: Compared, drawn: Drawn) -> dict[str, float]:
    """Margins in the figures' units; of power at load in percent of it, of track pace in percent of a lap."""
    return {
        name: margin / 100 * float(drawn.values[name].mean())
        if GOALS[name].margin_in_percent and name not in (PACE, POWER)
        else margin
        for name, margin in margins_of(compared.settings.margins).items()
    }


def _brought(found: Linked, target: str, name: str, margin: float) -> float | None:
    """Seconds a lap, or °C, that a margin more of the figure brought."""
    told = found.told_by(name, target)
    return None if told is None else told.slope * margin * found.scale[target]


def _spreads(drawn: Drawn, found: Linked, name: str) -> list[Spread | None]:
    """A figure of every motor; power at load in percent against the mean."""
    shown = intervals(found.power) if name == POWER else drawn.summary.figures[name]
    unknown = np.isnan(found.bench[:, BENCH.index(name)]).tolist()
    both = zip(shown, unknown, strict=True)
    return [Spread(each.mean, each.low90, each.high90) if each and not no else None for each, no in both]


def _levels(season: Season, scale: float) -> list[Spread | None]:
    """Every motor against the mean of those that ran beside others; None of the others."""
    doubt = Z_90 * season.noise * np.sqrt(season.level_variance)
    both = zip((season.levels * scale).tolist(), (doubt * scale).tolist(), strict=True)
    return [None if np.isnan(mean) else Spread(mean, mean - half, mean + half) for mean, half in both]


def offers(compared: Compared) -> list[WeightOffer]:
    """Weights for what is known to have told about pace, and for pace itself; not those that are set already.

    A figure offers none where the wrong side was better: a weight cannot say that.
    """
    found = compared.link
    if found is None or compared.drawn is None:
        return []
    season, margins = found.seasons[PACE], _margins(compared, compared.drawn)
    power = found.power.mean(axis=0) if found.told_by(POWER) else None
    offered = []
    for at, name in enumerate(BENCH):
        told = found.told_by(name)
        if name == POWER or told is None or not told.known or (told.better == "higher") != (GOALS[name].better > 0):
            continue
        beside = slope_beside(season.levels, found.bench[:, at], power)
        if beside * told.slope > 0:
            offered.append(WeightOffer(name, weight_of_figure(beside, margins[name], margins[PACE])))
    if found.power_known:
        offered.append(WeightOffer(PACE, _pace_weight(found, season, margins[PACE])))
    now = compared.settings.weights
    return [each for each in offered if each.weight > 0 and each.weight != now.get(each.figure, 0.0)]


def _pace_weight(found: Linked, season: Season, margin: float) -> float:
    own = season.motors
    bench = float(found.power.var(axis=0)[own].mean()) + found.unseen_pct**2
    pace = float(season.noise**2 * season.level_variance[own].mean())
    return weight_of_pace(found.power_slope, bench, pace, margin)
