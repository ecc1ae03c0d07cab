"""The user's own weights and margins: read from a form's texts, kept in the settings."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk.words import FIGURES
from pitbench.records.numbers import Unreadable, checked, read_number, shown
from pitbench.records.quantities import Quantity
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook, Snapshot

WEIGHED = (
    "kv_rpm_per_v",
    "no_load_current_a",
    "resistance_mohm",
    "speed_per_amp",
    "sensor_spread_deg",
    "pole_imbalance_pct",
    "hall_level_spread_pct",
)
UNITS = {"sensor_spread_deg": "°", "pole_imbalance_pct": "points", "hall_level_spread_pct": "points"}
WEIGHT = Quantity("weight", "weight", "", "", (0, 100), (0, 3), 2)
MARGIN = Quantity("margin", "margin", "", "", (0.001, 100), (0.1, 10), 2)


@dataclass(frozen=True)
class WeightField:
    """One field of the form."""

    name: str
    label: str
    unit: str
    meaning: str


def weight_fields() -> list[WeightField]:
    """Margin of the score, then weight and margin of every figure that may count besides."""
    margin = "the smallest difference worth acting on; blank: as by default."
    fields = [WeightField("margin load_power_w", "power at load", "% margin", f"Power at load: {margin}")]
    for name in WEIGHED:
        spoken = FIGURES[name]
        weight = f"{spoken}: 0 does not count, 1 counts a margin of it like a margin of power."
        fields.append(WeightField(f"weight {name}", spoken, "weight", weight))
        fields.append(WeightField(f"margin {name}", "  its margin", UNITS.get(name, "%"), f"{spoken}: {margin}"))
    return fields


def weight_texts(snapshot: "Snapshot") -> dict[str, str]:
    """The form's texts as the settings stand; margins show their defaults."""
    from pitbench.figures.criteria import GOALS

    settings = snapshot.settings()
    texts = {}
    for field in weight_fields():
        what, name = field.name.split()
        if what == "weight":
            texts[field.name] = shown(settings.weights.get(name, 0.0))
        else:
            texts[field.name] = shown(settings.margins.get(name, GOALS[name].margin))
    return texts


def weight_problems(texts: Mapping[str, str]) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = {}
    labels = {field.name: field.label for field in weight_fields()}
    for name, text in texts.items():
        try:
            _read(name, text)
        except Unreadable as why:
            problems[name] = f"{labels[name].capitalize()} {text} {why}."
    return problems


def _read(name: str, text: str) -> float | None:
    quantity = WEIGHT if name.startswith("weight") else MARGIN
    return checked(read_number(text, quantity), quantity) if text.strip() else None


def save_weights(logbook: "Logbook", texts: Mapping[str, str]) -> str:
    """Store weights and margins that differ from the defaults; returns the words of what was done."""
    from pitbench.figures.criteria import GOALS

    for sentence in weight_problems(texts).values():
        raise Refusal(sentence)
    weights: dict[str, float] = {}
    margins: dict[str, float] = {}
    for key, text in texts.items():
        what, name = key.split()
        value = _read(key, text)
        if what == "weight" and value:
            weights[name] = value
        elif what == "margin" and value is not None and value != GOALS[name].margin:
            margins[name] = value
    settings = logbook.settings().with_(weights=weights, margins=margins)
    logbook.save_settings("weights and margins", settings)
    return "weights and margins"
