"""Whether a row is checked and just as its model writes it, without making a record of it: made for whole files.

The checks are those of the models in `records`; none stands here.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from pydantic_core import SchemaValidator, ValidationError, core_schema

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def unlike(model: "type[Record]", table: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    """Keys of the rows that are not checked, not as this model writes them, or under another id than their own.

    A key is no verdict: the record itself says what is wrong with the row, or how it is written.
    """
    fields = _fields_of(model)
    if fields is None:
        yield from table
        return
    check = fields.validate_python
    for key, row in table.items():
        try:
            if check(row, strict=True) == row and row.get("id") == key:
                continue
        except (ValidationError, OverflowError):
            pass
        yield key


@cache
def _fields_of(model: "type[Record]") -> SchemaValidator | None:
    """The checks of a model's fields without their defaults; None for a model that checks more than its fields."""
    model.model_rebuild()
    schema: Any = model.__pydantic_core_schema__
    if schema["type"] != "model" or schema["schema"]["type"] != "model-fields" or schema.get("post_init"):
        return None
    fields = {}
    for name, field in schema["schema"]["fields"].items():
        required = field["schema"]["type"] != "default"
        check = field["schema"] if required else field["schema"]["schema"]
        fields[name] = core_schema.typed_dict_field(_given(check), required=required)
    return SchemaValidator(core_schema.typed_dict_schema(fields, extra_behavior="forbid"))


def _given(check: Any) -> Any:
    """The check of a value that is there: a blank one may be None in a record, and is not stored."""
    if check["type"] == "nullable":
        return _given(check["schema"])
    return {**check, "schema": _given(check["schema"])} if check["type"] == "function-after" else check
