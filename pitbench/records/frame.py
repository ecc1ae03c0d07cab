"""The frame every record stands in, and how a field takes its unit and range from the table of quantities.

Checks of single fields live here and in `quantities`; a model says only which fields it has.
"""

import secrets
from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from pitbench.records.names import clean_name, clean_note, clean_text
from pitbench.records.numbers import Unreadable, checked
from pitbench.records.quantities import QUANTITIES
from pitbench.records.stamps import OLDEST, STAMP, moment


def new_id() -> str:
    """Random text, so that two laptops never give the same id."""
    return secrets.token_hex(8)


def _day_exists(stamp: str) -> str:
    moment(stamp)  # quicker than remembering stamps that are all different
    if stamp < OLDEST:
        raise ValueError(f"is too long ago, {OLDEST} or later would be right")
    return stamp


Id = Annotated[str, StringConstraints(min_length=1, max_length=64)]
Stamp = Annotated[str, StringConstraints(pattern=STAMP), AfterValidator(_day_exists)]
Name = Annotated[str, AfterValidator(lru_cache(maxsize=1024)(clean_name))]
Text = Annotated[str, AfterValidator(clean_note)]
Cleaned = Annotated[str, AfterValidator(clean_text)]


def _each_once(columns: dict[str, str]) -> dict[str, str]:
    """A sheet has one column of a name, however it is spelled, and none without."""
    if "" in columns or len({name.casefold() for name in columns}) < len(columns):
        raise ValueError("a column of the user's own is without a name or stands twice, each once would be right")
    return columns


Extra = Annotated[dict[Cleaned, Cleaned], AfterValidator(_each_once)]


def number(name: str, default: Any = None) -> Any:
    """A finite number in the possible range of its quantity; optional unless it has a default, required with `...`."""
    quantity = QUANTITIES[name]
    low, high = quantity.possible
    return Field(default=default, ge=low, le=high, allow_inf_nan=False, description=quantity.meaning)


def even(count: float | None) -> float | None:
    """Magnet poles come in pairs."""
    if count is not None:
        try:
            checked(count, QUANTITIES["poles"])
        except Unreadable as why:
            raise ValueError(str(why)) from None
    return count


Poles = Annotated[float | None, AfterValidator(even)]


class Record(BaseModel):
    """What all records carry. Relations are by id, never by name; blank fields are not stored."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True, str_strip_whitespace=False)

    id: Id = Field(default_factory=new_id, description="Random text, the same on every laptop.")
    edited_at: Stamp | None = Field(default=None, description="When it was last written.")
    binned_at: Stamp | None = Field(default=None, description="When it went to the bin.")
    binned_why: str | None = Field(default=None, pattern="^(deleted|undone)$", description="Deleted or undone.")
    excluded_why: Text | None = Field(default=None, description="Why it is left out of every figure.")
    kept: tuple[str, ...] = Field(default=(), description="Fields whose unlikely value was kept knowingly.")
    extra: Extra = Field(default={}, description="Columns of a sheet that pitbench has no field for.")

    def row(self) -> dict[str, Any]:
        """The record as stored: plain values, no blank field and none that is as by default."""
        return {"id": self.id, **self.model_dump(mode="json", exclude_defaults=True)}

    @classmethod
    def of(cls, row: Mapping[str, Any]) -> Self:
        """The checked record of a stored row; raises pydantic's ValidationError (a ValueError)."""
        return cls.model_validate(row)

    def with_(self, **changes: Any) -> Self:
        """A checked copy with some fields changed."""
        return type(self).model_validate({**self.model_dump(), **changes})
