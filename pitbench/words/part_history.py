"""Where a part has been, in words."""

from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.spoken import capital, counted_words
from pitbench.records.stamps import friendly
from pitbench.records.typed import label_of

if TYPE_CHECKING:
    from pitbench.desk.parts.history import PartHistory, RunMade, Stay

TIMES = ("", "once", "twice")


def part_title(history: "PartHistory", motor: str, now: datetime) -> str:
    """Its kind and name, and where it is; motor: the name of the one it is in, empty for a spare."""
    what = f"{capital(label_of(history.kind))} {history.name}"
    stays = [stay for stay in history.stays if not stay.tried]
    if not motor:
        left = stays[0].until if stays else None
        return f"{what}   spare{f' since {friendly(left, now)}' if left else ''}"
    since = stays[0].since if stays else None
    return f"{what}   in {motor}{f' since {friendly(since, now)}' if since else ' from the beginning'}"


def part_words(history: "PartHistory") -> str:
    """How often it moved, and how many runs were made with it."""
    bench = sum(stay.bench for stay in history.stays)
    track = sum(len(stay.runs) for stay in history.stays) - bench
    moved = TIMES[history.moved] if history.moved < len(TIMES) else f"{history.moved} times"
    first = f"It went into another motor {moved}" if moved else "It was never fitted into another motor"
    return f"{first}; {counted_words(bench, 'bench run')} and {counted_words(track, 'track run')} were made with it."


def stay_words(stay: "Stay", now: datetime) -> str:
    """The motor, and from when to when.

    A part that was only tried says so.
    """
    if stay.tried:
        return f"{stay.motor}, only tried"
    until = f" to {friendly(stay.until, now)}" if stay.until else ""
    if stay.since is None:
        return f"{stay.motor}{until or ' from the beginning'}"
    return (
        f"{stay.motor}, {friendly(stay.since, now)}{until}"
        if until
        else f"{stay.motor} since {friendly(stay.since, now)}"
    )


def run_words(run: "RunMade", now: datetime) -> str:
    """When it was made, and what it was."""
    out = ", left out" if run.out else ""
    return f"{friendly(run.made_at, now)}  {run.where or 'bench run'}{out}"
