"""Reading a logbook: plain rows for lists, checked records for everything else. Also frozen, as a Snapshot."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import TYPE_CHECKING, Any, Self, cast

from pitbench.records.kinds import KINDS, Row
from pitbench.store import refusals, rows

if TYPE_CHECKING:
    from pitbench.records.frame import Record
    from pitbench.records.models import Settings
    from pitbench.records.team import Team

Tree = Mapping[str, Mapping[str, Row]]
Piece = tuple[str, list[Row]]
"""A kind and some of its rows."""
IN_A_PIECE = 250

SETTINGS_ID = "settings"


class View:
    """What a logbook and a snapshot of it have in common. Rows belong to the logbook: read them, never change them."""

    revision: int

    def _tree(self) -> Tree:
        raise NotImplementedError

    def rows(self, kind: str, *, binned: bool = False) -> list[Row]:
        """The live rows of a kind, or only those in the bin; blank fields are absent."""
        _must_be_known(kind)
        return [row for row in self._tree().get(kind, {}).values() if ("binned_at" in row) == binned]

    def row(self, kind: str, key: str) -> Row | None:
        """One row by its id, also from the bin."""
        _must_be_known(kind)
        return self._tree().get(kind, {}).get(key)

    def versions(self, key: str) -> Row:
        """What is remembered of a record's edits: `cells` (see records.versions), and `also`, ids it has elsewhere."""
        return self._tree().get("versions", {}).get(key, {})

    def records(self, kind: str) -> "list[Record]":
        """The live records of a kind, checked; raises Damaged."""
        return [_checked(kind, row) for row in self.rows(kind)]

    def flaw(self) -> str | None:
        """The first problem a check of the whole file would name, in the bin or not; None: every row is a record."""
        return rows.first_flaw(self._tree())

    def team(self) -> "Team":
        """The team's settings from the plain row: no model is loaded for them."""
        from pitbench.records.team import team_of

        return team_of(self._set())

    def settings(self) -> "Settings":
        """The record of the team's settings, to be changed; as by default where nothing was set."""
        from pitbench.records.models import Settings

        row = self._set()
        return Settings(id=SETTINGS_ID) if row is None else cast(Settings, _checked("settings", row))

    def _set(self) -> Row | None:
        return next((row for row in self.rows("settings") if row["id"] == SETTINGS_ID), None)


class Snapshot(View):
    """The logbook at one revision; may be read in any thread while saves go on."""

    def __init__(self, revision: int, tree: Tree) -> None:
        self.revision = revision
        self._frozen = tree

    def _tree(self) -> Tree:
        return self._frozen

    def whole(self) -> dict[str, Any]:
        """All tables, as a file holds them."""
        return dict(self._frozen)

    def share_numbers(self) -> None:
        """Keep equal numbers once: as read, each is an object of its own, and thousands of runs hold few different."""
        rows.share_numbers(self._frozen)

    def pieces(self) -> Iterator[Piece]:
        """The records of all kinds, some at a time: a whole logbook at once would take its own size again."""
        for kind in KINDS:
            every = iter(self._frozen.get(kind, {}).values())
            while some := list(islice(every, IN_A_PIECE)):
                yield kind, some

    @classmethod
    def of_pieces(cls, revision: int, pieces: Iterable[Piece]) -> Self:
        """The snapshot these are the pieces of."""
        tree: dict[str, dict[str, Row]] = {}
        for kind, some in pieces:
            tree.setdefault(kind, {}).update((row["id"], row) for row in some)
        return cls(revision, tree)


def _checked(kind: str, row: Row) -> "Record":
    try:
        return rows.checked(kind, row)
    except ValueError as why:
        raise refusals.Damaged(f"The logbook holds a record that is none: {why}.") from None


def _must_be_known(kind: str) -> None:
    if kind not in KINDS:
        raise KeyError(f"{kind!r} is no kind of record")
