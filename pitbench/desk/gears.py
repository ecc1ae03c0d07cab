"""The own gears, and a pitch as it is kept (its module, rounded to a millionth of a millimetre) and as it was bought.

Form and sheets both come here, so that a diametral pitch typed in is the same one when it is shown again.
"""

from pitbench.figures.gearing import Gear, module_of
from pitbench.records.kinds import Source

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


def own_gears(source: Source) -> dict[str, list[Gear]]:
    """The gears written down, pinions and spurs, by pitch and teeth."""
    own: dict[str, list[Gear]] = {"pinion": [], "spur": []}
    for row in sorted(source.rows("gear"), key=lambda row: (row["module"], row["teeth"])):
        own[row["kind"]].append(Gear(int(row["teeth"]), row["module"]))
    return own
