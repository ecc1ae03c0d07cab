"""Whether a swap of parts would tell more for its minutes than any test of the motors as they are built now.

Asked only where parts are moved at all: where the class sheet says that they may be mixed, or somebody did.
"""

from dataclasses import replace

from pitbench.desk.answers import NextTest
from pitbench.desk.builds import parts_of
from pitbench.desk.comparing.minutes import minutes_of
from pitbench.desk.comparing.pool import drawn_of, pool_of, swapped_of
from pitbench.figures.foresight import WORTH_A_READING
from pitbench.figures.next_swap import next_swap
from pitbench.records.kinds import Source
from pitbench.records.team import Team
from pitbench.store.logbook import Snapshot

MOST_BUILDS = 512
"""Builds from which on a ranking does not ask: there a pair of runs tells more, and the answer would wait."""


def swap_test(snapshot: Snapshot, class_name: str | None, settings: Team, unseen_pct: float) -> NextTest | None:
    """The swap that gains most a minute within the minutes the user has; None if none tells enough.

    unseen_pct: what the bench cannot see, as the ranking has it.
    """
    if not _parts_move(snapshot):
        return None
    pool = pool_of(snapshot, class_name)
    if not 1 < len(pool.legal) <= MOST_BUILDS or (pool.class_row or {}).get("parts_mixed") == "no":
        return None
    drawn = drawn_of(pool, settings)
    if drawn is None:
        return None
    swapped = swapped_of(pool, replace(drawn, unseen_pct=unseen_pct), settings)
    found = next_swap(swapped, pool.standing(), minutes_of(settings), within=settings.test_minutes)
    if found is None or not found.moved or found.chance_expected - found.chance_now < WORTH_A_READING:
        return None
    opened = [found.motor, *(motor for motor in found.opened if motor != found.motor)]
    names = [pool.motors[motor]["name"] for motor in opened]
    return NextTest("swap", names, found.runs, found.minutes, found.chance_now, found.chance_expected)


def _parts_move(source: Source) -> bool:
    """Whether anybody mixes parts: a class sheet says so, or a part was in two motors."""
    if any(sheet.get("parts_mixed", "no") != "no" for sheet in source.rows("class_sheet")):
        return True
    homes = {(part_id, build["motor_id"]) for build in source.rows("build") for part_id in parts_of(build) if part_id}
    return len(homes) > len({part_id for part_id, _ in homes})
