"""The frame every record stands in, and how a model takes its fields from the table of fields.

Checks of single fields come from the table; a model's own body says only what the code reads by name.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, ValidationError, create_model

from pitbench.records import fields
from pitbench.records.fields import QUANTITIES, RECORDS, Datum
from pitbench.records.ids import new_id
from pitbench.records.names import clean_name, clean_note, clean_text
from pitbench.records.numbers import Unreadable, checked
from pitbench.records.stamps import OLDEST, STAMP, moment


def _day_exists(stamp: str) -> str:
    moment(stamp)  # quicker than remembering stamps that are all different
    if stamp < OLDEST:
        raise ValueError(f"is too long ago, {OLDEST} or later would be right")
    return stamp


def _even(count: float) -> float:
    """Magnet poles come in pairs."""
    try:
        return checked(count, fields.FIELDS["poles"])
    except Unreadable as why:
        raise ValueError(str(why)) from None


Id = Annotated[str, StringConstraints(min_length=1, max_length=64)]
Stamp = Annotated[str, StringConstraints(pattern=STAMP), AfterValidator(_day_exists)]
Name = Annotated[str, AfterValidator(lru_cache(maxsize=1024)(clean_name))]
Text = Annotated[str, AfterValidator(clean_note)]
Cleaned = Annotated[str, AfterValidator(clean_text)]
_TYPES: dict[str, Any] = {
    fields.NAME: Name,
    fields.TEXT: Text,
    fields.TIME: Stamp,
    fields.YES_NO: bool,
    fields.ID: Id,
}


def _each_once(columns: dict[str, str]) -> dict[str, str]:
    """A sheet has one column of a name, however it is spelled, and none without."""
    if "" in columns or len({name.casefold() for name in columns}) < len(columns):
        raise ValueError("a column of the user's own is without a name or stands twice, each once would be right")
    return columns


Extra = Annotated[dict[Cleaned, Cleaned], AfterValidator(_each_once)]


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


R = TypeVar("R", bound=Record)


def of_table(kind: str) -> Callable[[type[R]], type[R]]:
    """The model of a kind of record: its body, and every field that the table gives such a record."""

    def made(body: type[R]) -> type[R]:
        told: dict[str, Any] = {
            d.field: _told(d) for d in RECORDS[kind] if d.field and d.field not in Record.model_fields
        }
        model: type[R] = create_model(
            body.__name__, __base__=body, __doc__=body.__doc__, __module__=body.__module__, **told
        )
        return model

    return made


def flaw_of(error: ValueError) -> tuple[str, str]:
    """What a model refused first: the field, and a clause that completes a sentence about its value."""
    if not isinstance(error, ValidationError):
        raise error
    flaw = error.errors(include_url=False, include_context=False)[0]
    name = str(flaw["loc"][0]) if flaw["loc"] else "record"
    if flaw["type"] == "missing":
        return name, "is missing"
    if name in QUANTITIES and isinstance(flaw["input"], int | float):
        try:
            checked(flaw["input"], QUANTITIES[name])
        except Unreadable as why:
            return name, str(why)
    return name, flaw["msg"].removeprefix("Value error, ")


def _told(datum: Datum) -> tuple[Any, Any]:
    """Type and description of a field as pydantic takes them; optional unless the record needs it."""
    kind = _type(datum)
    if datum.in_record:
        return kind, Field(description=datum.meaning)
    if datum.default is None:
        kind = kind | None
    return kind, Field(default=datum.default, description=datum.meaning)


def _type(datum: Datum) -> Any:
    if datum.field.endswith("_id"):
        return Id
    if datum.form == fields.CHOICE:
        return Literal[datum.words]
    if datum.form not in (fields.NUMBER, fields.NUMBERS):
        return _TYPES[datum.form]
    low, high = datum.possible
    one: Any = Annotated[float, Field(ge=low, le=high, allow_inf_nan=False)]
    if datum.even:
        one = Annotated[float, AfterValidator(_even)]
    return tuple[one, ...] if datum.form == fields.NUMBERS else one
