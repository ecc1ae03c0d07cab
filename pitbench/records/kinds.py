"""The kinds of record by name, known without pydantic: a list of runs is shown before any model is loaded.

`models` holds the models themselves; which model a kind has, and which kind a record is, is asked here.
"""

from typing import TYPE_CHECKING, Any, Protocol

from pitbench.records.fields import RECORDS

if TYPE_CHECKING:
    from pitbench.records.frame import Record

KINDS = tuple(RECORDS)


Row = dict[str, Any]
"""A record as it is stored: without blank fields."""


class Source(Protocol):
    """A logbook or a snapshot of one."""

    def rows(self, kind: str, *, binned: bool = False) -> list[Row]: ...

    def row(self, kind: str, key: str, /) -> Row | None: ...


def model_of(kind: str) -> "type[Record]":
    """The model of a kind; raises KeyError for a name that is none."""
    from pitbench.records.models import MODELS

    return MODELS[kind]


def kind_of(record: "Record") -> str:
    """The kind a record is of."""
    from pitbench.records.models import MODELS

    return next(kind for kind, model in MODELS.items() if model is type(record))
