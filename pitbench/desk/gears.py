"""The own gears, a plan changed key by key, and a pitch as it is kept and as it was bought.

Kept is its module, rounded to a millionth of a millimetre.
Form and sheets both come here, so that a diametral pitch typed in is the same one when it is shown again.
"""

from pitbench.figures.gearing import Gear, module_of
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Source

STEPS = {
    "pinion": 1.0,
    "spur": 1.0,
    "length_s": 30.0,
    "ambient_c": 1.0,
    "timing_mark_deg": 1.0,
    "tyre_diameter_mm": 0.1,
}
"""What one key changes of a plan."""
RANGES = {"length_s": "run_time_s", "start_c": "start_temp_c"}
"""Fields of a plan whose range stands under another name."""
MODULE_PLACES = 6
"""Enough that 25.4 ÷ module gives back every whole diametral pitch."""


def module_of_dp(dp: float) -> float:
    """The module in mm kept for a diametral pitch.

    >>> module_of_dp(64.0), module_of_dp(48.0)
    (0.396875, 0.529167)
    """
    return round(module_of(dp), MODULE_PLACES)


def dp_of_module(module: float) -> float | None:
    """The whole diametral pitch a module was kept for; None for a metric one.

    >>> dp_of_module(0.529167), dp_of_module(0.5), dp_of_module(0.2)
    (48.0, None, None)
    """
    whole = float(round(module_of(module)))
    is_metric = round(module, 1) == module
    return whole if whole and not is_metric and module_of_dp(whole) == module else None


def stepped(name: str, value: float, by: int) -> float:
    """A number of a plan so many steps on; at the end of what is possible, as it was.

    >>> stepped("tyre_diameter_mm", 62.5, -1), stepped("pinion", 1.0, -1)
    (62.4, 1.0)
    """
    changed = round(value + by * STEPS[name], 3)
    low, high = QUANTITIES[RANGES.get(name, name)].possible
    return changed if low <= changed <= high else value


def own_gears(source: Source) -> dict[str, list[Gear]]:
    """The gears written down, pinions and spurs, by pitch and teeth."""
    own: dict[str, list[Gear]] = {"pinion": [], "spur": []}
    for row in sorted(source.rows("gear"), key=lambda row: (row["module"], row["teeth"])):
        own[row["kind"]].append(Gear(int(row["teeth"]), row["module"]))
    return own
