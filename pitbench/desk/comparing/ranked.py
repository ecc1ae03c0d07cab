"""What the screens keep of a ranking: plain, so that the draws behind it are gone once it is worked out.

Whoever tries other weights asks `compare` for draws of its own.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk.answers import RankAnswer
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from pitbench.desk.comparing.odd_runs import OddRun
    from pitbench.desk.comparing.weights import Trial


@dataclass(frozen=True, eq=False)
class Ranked:
    """The ranking of a class at a revision of the logbook; warmth_slope, odd_runs: see `Compared`."""

    answer: RankAnswer
    warmth_slope: float | None
    revision: int
    odd_runs: "Sequence[OddRun]" = ()

    @property
    def doubtful(self) -> Collection[str]:
        """Names of the motors whose run is plainly odd."""
        return {odd.motor for odd in self.odd_runs if odd.plain}


def ranked(snapshot: Snapshot, class_name: str) -> Ranked:
    """Rank a class with the team's weights and margins; see `compare`."""
    from pitbench.desk.comparing.ranking import compare

    compared = compare(snapshot, class_name)
    return Ranked(compared.answer(), compared.warmth_slope, snapshot.revision, compared.odd_runs)


def tried(snapshot: Snapshot, class_name: str) -> "list[Trial]":
    """The order of a class with every weight halved and doubled; see `weight_trials`."""
    from pitbench.desk.comparing.ranking import compare
    from pitbench.desk.comparing.weights import weight_trials

    return weight_trials(compare(snapshot, class_name))


def without_run(snapshot: Snapshot, class_name: str, run_id: str) -> RankAnswer:
    """The ranking of a class as it would be without this run; see `compare`."""
    from pitbench.desk.comparing.ranking import compare

    return compare(snapshot, class_name, leave_out=[run_id]).answer()
