"""JSON text to plain objects and back, by pydantic-core, and its errors; the rest of the store takes them from here.

Its package declares every kind of schema when it is imported. That takes 15 ms, as long as parsing 4,000 records, the
first list waits for it, and the parser needs none of it: so its compiled part is loaded alone. A later import of the
package goes on from there. Where the package is built another way, it is imported as usual.
"""

import sys
from contextlib import suppress
from importlib import import_module
from importlib.util import find_spec, module_from_spec
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pydantic_core import PydanticSerializationError as PydanticSerializationError
    from pydantic_core import ValidationError as ValidationError
    from pydantic_core import from_json as from_json
    from pydantic_core import to_json as to_json

_PACKAGE = "pydantic_core"


def _compiled_part() -> ModuleType:
    """The compiled module, or the whole package where that is loaded already or the part cannot stand alone."""
    if _PACKAGE not in sys.modules:
        with suppress(Exception):
            return _alone()
    return import_module(_PACKAGE)


def _alone() -> ModuleType:
    spec = find_spec(_PACKAGE)
    assert spec is not None
    sys.modules[_PACKAGE] = module_from_spec(spec)  # a place to be imported from, not started
    try:
        part = import_module(f"{_PACKAGE}._pydantic_core")
    finally:
        del sys.modules[_PACKAGE]
    return part if hasattr(part, "from_json") and hasattr(part, "to_json") else import_module(_PACKAGE)


if not TYPE_CHECKING:
    _part = _compiled_part()
    from_json, to_json = _part.from_json, _part.to_json
    ValidationError, PydanticSerializationError = _part.ValidationError, _part.PydanticSerializationError
