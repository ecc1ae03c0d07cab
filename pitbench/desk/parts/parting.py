"""Which single swap would part a part from its neighbours: read off an answer, nothing is drawn. Light at import."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk.answers import Move
from pitbench.records.fields import PART_KINDS

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from pitbench.desk.answers import PartsAnswer
    from pitbench.store.logbook import Snapshot

Build = tuple[str, str, str]
"""Names of its stator, rotor and end bell."""


@dataclass(frozen=True)
class _Candidate:
    parts: tuple[Move, Move]
    unparted: int
    score_pct: float


def check_motors(snapshot: Snapshot) -> set[str]:
    """Names of the motors that are never opened."""
    return {motor["name"] for motor in snapshot.rows("motor") if motor.get("check_motor")}


def parting_swap(answer: PartsAnswer, kind: str, closed: Collection[str] = ()) -> tuple[Move, Move] | tuple[()]:
    """Two parts of one kind, each with the motor it is in, whose change of places parts most parts that no build has.

    Only builds that are legal, one of which at least was never tested; of equal ones that whose new builds score best.
    closed: names of motors that are not to be opened.
    """
    found = max(_candidates(answer, kind, closed), key=lambda each: (each.unparted, each.score_pct), default=None)
    return found.parts if found and found.unparted else ()


def _candidates(answer: PartsAnswer, kind: str, closed: Collection[str]) -> Iterator[_Candidate]:
    builds = {(build.stator, build.rotor, build.end_bell): build for build in answer.swaps.builds}
    standing = [
        (motor, parts)
        for motor, parts in zip(answer.in_motor, builds, strict=True)
        if motor is not None and motor not in closed
    ]
    loose = {(part.kind, part.part) for part in answer.swaps.parts if not part.separated}
    for nth, (motor, first) in enumerate(standing):
        for other, second in standing[nth + 1 :]:
            after = [builds.get(_with(*pair, kind)) for pair in ((first, second), (second, first))]
            made = [build for build in after if build is not None]
            if len(made) < 2 or all(build.tested for build in made):
                continue
            unparted = len(loose & {*zip(PART_KINDS, first, strict=True), *zip(PART_KINDS, second, strict=True)})
            place = PART_KINDS.index(kind)
            moves = Move(kind, first[place], motor), Move(kind, second[place], other)
            yield _Candidate(moves, unparted, sum(build.score_pct for build in made))


def _with(build: Build, other: Build, kind: str) -> Build:
    """The first build with the other's part of a kind."""
    stator, rotor, end_bell = (b if each == kind else a for each, a, b in zip(PART_KINDS, build, other, strict=True))
    return stator, rotor, end_bell
