"""Whether a row is checked and just as its model writes it, without making a record of it: made for whole files.

The checks are those of the models in `records`; none stands here.
"""

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from pydantic_core import SchemaValidator, ValidationError, core_schema

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def writes(model: "type[Record]", row: Mapping[str, Any]) -> bool:
    """Whether a stored row is checked and as this model writes it.

    False is no verdict: then the record itself says what is wrong with the row, or how it is written.
    """
    fields = _fields_of(model)
    if fields is None or None in row.values():
        return False
    try:
        return bool(fields.validate_python(row, strict=True) == row)
    except (ValidationError, OverflowError):
        return False


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
        fields[name] = core_schema.typed_dict_field(check, required=required)
    return SchemaValidator(core_schema.typed_dict_schema(fields, extra_behavior="forbid"))
