"""Cautions where the hazard is: a short line that always stands, and a longer text that is read once and folded away.

All of them at length are docs/cautions.md, which an installed pitbench carries inside the package.
"""

from dataclasses import dataclass
from pathlib import Path

_FIRST = "What the makers say comes first, then your club's rules and local codes."
_ALL = "{open-palette}, cautions: all of them."


@dataclass(frozen=True)
class Caution:
    """`short`: lines that stay, each for one hazard, at most 75 characters (TRACK's
    39, beside the fields); `long`: what stands beside them once."""

    short: tuple[str, ...]
    long: str


HOT_CAN = "Hot can: a thermometer, no finger. Its maker's and your club's rules first."
BENCH = Caution(
    ("Motor spins: pinion off, clamped, eyes covered, hands clear. Makers first.",),
    f"{_FIRST} Sleeves and hair away from the shaft; stop at a new noise, smoke, or a current that climbs by itself; "
    f"no longer, faster or hotter than its maker allows. {_ALL}",
)
TRACK = Caution(
    ("Hot can: no finger. Makers, club first.", "Lithium pack: cools first, charged", "watched, never one swollen."),
    f"{_FIRST} Bare metal burns within seconds; a pack dented, wet or hotter than its twin stays out of use. {_ALL}",
)
READING = Caution(
    (HOT_CAN,),
    f"{_FIRST} The can burns for minutes after the stop, and the winding inside is hotter. {_ALL}",
)
SWAP = Caution(
    ("Magnets snap and splinter, a hot can burns. Maker's and club's rules first.",),
    f"{_FIRST} Unplugged and cool; eyes covered; two rotors a hand apart, away from implants and cards. {_ALL}",
)


def all_cautions() -> str:
    """docs/cautions.md as it stands in a checkout, or inside an installed package."""
    package = Path(__file__).parents[1]
    installed = package / "cautions.md"
    return (installed if installed.is_file() else package.parent / "docs" / "cautions.md").read_text(encoding="utf-8")
