"""What the team has set, as by default: the one place of these numbers. Without pydantic: a ranking reads settings too.

`models.Settings` is the record they are stored in; `team_of` reads its plain row.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Literal


@dataclass(frozen=True)
class Team:
    """Settings of one logbook; see `models.Settings` for their meanings."""

    temperature_unit: Literal["C", "F"] = "C"
    length_unit: Literal["mm", "in"] = "mm"
    day_first: bool = True
    volts_per_cell: float = 3.8
    leads_mohm: float = 20.0
    ceiling_c: float = 80.0
    test_minutes: float = 30.0
    run_minutes: float = 2.0
    winding_minutes: float = 2.0
    clips_minutes: float = 5.0
    swap_minutes: float = 15.0
    work_minutes: float = 0.0
    weights: Mapping[str, float] = field(default_factory=dict)
    margins: Mapping[str, float] = field(default_factory=dict)


AS_BY_DEFAULT = Team()
_NAMES = tuple(each.name for each in fields(Team))


def team_of(row: Mapping[str, Any] | None) -> Team:
    """The settings of a stored row, which holds only what is not as by default; None: nothing was set.

    >>> team_of({"id": "settings", "ceiling_c": 75.0}).ceiling_c, team_of(None).leads_mohm
    (75.0, 20.0)
    """
    return Team(**{name: row[name] for name in _NAMES if name in row}) if row else AS_BY_DEFAULT
