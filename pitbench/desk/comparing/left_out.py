"""What if this run were left out: the ranking without it. Nothing is stored."""

from typing import TYPE_CHECKING

from pitbench.desk.answers import RankAnswer

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot


def without_run(snapshot: "Snapshot", class_name: str, run_id: str) -> RankAnswer:
    """The ranking of a class as it would be without this run; see `compare`."""
    from pitbench.desk.comparing.ranking import compare

    return compare(snapshot, class_name, leave_out=[run_id]).answer()
