"""The parser stands without its package, the package goes on from there, and where it cannot, the package is taken."""

import subprocess
import sys

ALONE = """
import sys
from pitbench.store.json_text import from_json, to_json, ValidationError
assert "pydantic_core.core_schema" not in sys.modules and "pydantic_core" not in sys.modules
assert from_json(to_json({"a": [1, 2.5, None]})) == {"a": [1, 2.5, None]}
from pitbench.records.models import Motor
import pydantic_core
assert pydantic_core.from_json is from_json and pydantic_core.ValidationError is ValidationError
try:
    Motor(name=5)
except ValidationError as error:
    print(error.error_count())
"""

CANNOT = """
import importlib, sys
import pitbench.store
real = importlib.import_module
def without_the_part(name, *more):
    if name.endswith("._pydantic_core"):
        raise ImportError(name)
    return real(name, *more)
importlib.import_module = without_the_part
from pitbench.store.json_text import from_json
assert "pydantic_core" in sys.modules
print(from_json(b"[1]"))
"""


def printed(code):
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    return run.stdout


def test_the_parser_stands_without_its_package_and_the_package_goes_on_from_there():
    assert printed(ALONE) == "1\n"


def test_where_the_part_cannot_stand_alone_the_package_is_taken():
    assert printed(CANNOT) == "[1]\n"
