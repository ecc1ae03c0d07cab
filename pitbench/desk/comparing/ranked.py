"""What the screens ask of a ranking. Light at import: what draws is loaded only where a question is worked out.

`Ranked` is plain, so that the draws behind it are gone once it is worked out.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pitbench.desk.answers import LinkPage, NextTest, OddRun, RankAnswer, SideBySide, WeightOffer
    from pitbench.desk.comparing.against import AgainstClass, LeadsBy
    from pitbench.desk.comparing.ranking import Compared
    from pitbench.desk.comparing.track_evidence import TrackEvidence
    from pitbench.desk.comparing.weights import Trial
    from pitbench.desk.comparing.worn import MotorWear
    from pitbench.store.logbook import Snapshot


@dataclass(frozen=True, eq=False)
class Ranked:
    """The ranking of a class at a revision of the logbook; warmth_slope, odd_runs: see `Compared`.

    wear: of the motors, by name, that were on the bench and the track often enough. against: the motors told against
    their class; leads_by: what the leader has more of than they.
    """

    answer: RankAnswer
    warmth_slope: float | None
    revision: int
    odd_runs: Sequence[OddRun] = ()
    wear: Mapping[str, MotorWear] = field(default_factory=dict)
    against: AgainstClass | None = None
    leads_by: LeadsBy | None = None

    @property
    def doubtful(self) -> Collection[str]:
        """Names of the motors whose run is plainly odd."""
        return {odd.motor for odd in self.odd_runs if odd.plain}


def compared(snapshot: Snapshot, class_name: str, leave_out: Collection[str] = ()) -> Compared:
    """A class with its draws, for one who tries other weights; see `compare`."""
    from pitbench.desk.comparing.ranking import compare

    return compare(snapshot, class_name, leave_out=leave_out)


def ranked(snapshot: Snapshot, class_name: str) -> Ranked:
    """Rank a class with the team's weights and margins."""
    from pitbench.desk.comparing.against import against_class, leads_by

    found = compared(snapshot, class_name)
    against = against_class(found.drawn, [motor["name"] for motor in found.gathered.motors])
    return Ranked(
        answer=found.answer(),
        warmth_slope=found.warmth_slope,
        revision=snapshot.revision,
        odd_runs=found.odd_runs,
        wear=found.wear,
        against=against,
        leads_by=leads_by(found),
    )


def test_within(snapshot: Snapshot, class_name: str, minutes: float) -> NextTest | None:
    """What to test next in a class if only so many minutes are left."""
    from pitbench.desk.comparing.ranking import compare

    settings = replace(snapshot.team(), test_minutes=minutes)
    return compare(snapshot, class_name, settings=settings).answer().next_test


def beside(snapshot: Snapshot, names: Sequence[str]) -> SideBySide:
    """Motors of one class by name, figure by figure; see `side_by_side`."""
    from pitbench.desk.comparing.side_by_side import side_by_side

    return side_by_side(snapshot, names)


def tried(snapshot: Snapshot, class_name: str) -> list[Trial]:
    """The order of a class with every weight halved and doubled; see `weight_trials`."""
    from pitbench.desk.comparing.weights import weight_trials

    return weight_trials(compared(snapshot, class_name))


def link_of(snapshot: Snapshot, class_name: str | None) -> LinkPage:
    """Which bench figures of a class told about the track; see `link_page`."""
    from pitbench.desk.comparing.link_page import link_page

    return link_page(snapshot, class_name)


def offers_of(compared: Compared) -> list[WeightOffer]:
    """Weights the link offers; see `link_page.offers`."""
    from pitbench.desk.comparing.link_page import offers

    return offers(compared)


def without_run(snapshot: Snapshot, class_name: str, run_id: str) -> RankAnswer:
    """The ranking of a class as it would be without this run."""
    return compared(snapshot, class_name, leave_out=[run_id]).answer()


def evidence_of_class(snapshot: Snapshot, class_id: str | None) -> TrackEvidence:
    """What the track says of a class by its id; None, and a class in the bin: of the motors that name none."""
    from pitbench.desk.comparing.track_evidence import evidence_of

    return evidence_of(snapshot, next((row for row in snapshot.rows("class_sheet") if row["id"] == class_id), None))
