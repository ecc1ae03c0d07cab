"""The user's own weights and margins: read from a form's texts, kept in the settings."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from pitbench.figures.criteria import GOALS
from pitbench.records.fields import number
from pitbench.records.numbers import read_number, shown
from pitbench.records.spoken import FIGURES
from pitbench.records.typed import read_all, refuse, sentences
from pitbench.store.logbook import Logbook, Snapshot

if TYPE_CHECKING:
    from pitbench.desk.comparing.ranking import Compared
    from pitbench.records.models import Settings

ON_THE_TRACK = {"track_pace_s": "0.3 % of a lap", "finish_temp_c": "3 °C"}
"""Figures that only track runs tell, with the margin that one unit of weight counts like a margin of power."""
UNITS = {"sensor_spread_deg": "°", "pole_imbalance_pct": "points", "hall_level_spread_pct": "points"}
SHORT = {
    "kv_rpm_per_v": "KV",
    "no_load_current_a": "current",
    "resistance_mohm": "resistance",
    "speed_per_amp": "speed/amp",
    "sensor_spread_deg": "spread",
    "pole_imbalance_pct": "imbalance",
    "hall_level_spread_pct": "Hall level",
    "track_pace_s": "pace",
    "finish_temp_c": "finish °C",
}
"""What stands before `, weight` in the form, which has 18 columns for it."""
WEIGHED = tuple(name for name in SHORT if name not in ON_THE_TRACK)
WEIGHT = number("weight", "weight", "", "", (0, 100), (0, 3), 2)
MARGIN = number("margin", "margin", "", "", (0.001, 100), (0.1, 10), 2)


@dataclass(frozen=True)
class WeightField:
    """One field of the form."""

    name: str
    label: str
    unit: str
    meaning: str


def weight_fields(raced: bool = False) -> list[WeightField]:
    """Margin of the score, then weight and margin of every figure that may count besides; raced: those of the track."""
    margin = "the smallest difference worth acting on; blank: default."
    fields = [WeightField("margin load_power_w", "power, margin", "%", f"Power at load: {margin}")]
    for name in WEIGHED:
        spoken = FIGURES[name]
        weight = f"{spoken}: 0 counts nothing, 1 a margin like one of power."
        fields.append(WeightField(f"weight {name}", f"{SHORT[name]}, weight", "", weight))
        fields.append(WeightField(f"margin {name}", "margin", UNITS.get(name, "%"), f"{spoken}: {margin}"))
    for name, unit in ON_THE_TRACK.items() if raced else ():
        weight = f"{FIGURES[name]}: 0 counts nothing, 1 counts {unit} like a margin of power."
        fields.append(WeightField(f"weight {name}", f"{SHORT[name]}, weight", "", weight))
    return fields


def weight_texts(snapshot: Snapshot) -> dict[str, str]:
    """The form's texts as the settings stand; margins show their defaults."""
    settings = snapshot.settings()
    texts = {}
    for field in weight_fields(raced(snapshot)):
        what, name = field.name.split()
        if what == "weight":
            texts[field.name] = shown(settings.weights.get(name, 0.0))
        else:
            texts[field.name] = shown(settings.margins.get(name, GOALS[name].margin))
    return texts


def raced(snapshot: Snapshot) -> bool:
    """Whether there are track runs, which alone tell pace and finish temperature."""
    return bool(snapshot.rows("track_run"))


def weight_problems(texts: Mapping[str, str]) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    return sentences(texts, read_all(texts, texts, _read)[1], _spoken)


def _spoken(key: str) -> str:
    what, name = key.split()
    return f"{what} of {FIGURES[name]}"


def _read(key: str, text: str) -> float | None:
    what, name = key.split()
    quantity = WEIGHT if what == "weight" else replace(MARGIN, unit=UNITS.get(name, "%"))
    return read_number(text, quantity) if text.strip() else None


@dataclass(frozen=True)
class Trial:
    """The motors with other weights: (name, score in percent), best first. figure: whose weight; None: `how` is all."""

    figure: str | None
    how: str
    scores: list[tuple[str, float]]

    @property
    def label(self) -> str:
        """As a row is headed, in 22 columns."""
        return f"{SHORT[self.figure]}, {self.how}" if self.figure else self.how

    @property
    def leader(self) -> str:
        """The motor that leads so."""
        return self.scores[0][0]


def weight_trials(compared: "Compared") -> list[Trial]:
    """The ranking as it is set, with every weight halved and doubled, and by power at load alone.

    Where no figure has weight it is one and the same: then there is one trial.
    """
    weights = compared.settings.weights
    tried = {name: weight for name, weight in weights.items() if weight and name in (*WEIGHED, *ON_THE_TRACK)}
    alone = Trial(None, "power at load alone", _scores(compared, {}))
    if not tried:
        return [alone]
    trials = [Trial(None, "as set", _scores(compared, weights))]
    for name, weight in tried.items():
        for how, factor in (("halved", 0.5), ("doubled", 2.0)):
            trials.append(Trial(name, how, _scores(compared, {**weights, name: factor * weight})))
    return [*trials, alone]


def _scores(compared: "Compared", weights: Mapping[str, float]) -> list[tuple[str, float]]:
    return [(motor.motor, motor.score_pct) for motor in compared.answer(weights).motors]


def save_weights(logbook: Logbook, texts: Mapping[str, str]) -> str:
    """Store weights and margins that differ from the defaults; returns the words of what was done."""
    refuse(weight_problems(texts))
    settings = logbook.settings()
    weights, margins = typed_weights(settings, texts)
    words = "weights and margins"
    logbook.save_settings(words, settings.with_(weights=weights, margins=margins))
    return words


def typed_weights(settings: "Settings", texts: Mapping[str, str]) -> tuple[dict[str, float], dict[str, float]]:
    """Weights and margins as typed, where they differ from the defaults; what cannot be read stays as it was set."""
    kept = {"weight": dict(settings.weights), "margin": dict(settings.margins)}
    values, unreadable = read_all(texts, texts, _read)
    for key in texts.keys() - unreadable.keys():
        what, name = key.split()
        kept[what].pop(name, None)
        if values.get(key) not in (None, 0.0 if what == "weight" else GOALS[name].margin):
            kept[what][name] = values[key]
    return kept["weight"], kept["margin"]
