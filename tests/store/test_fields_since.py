"""Fields a file of each schema number may have: one more is a number more, or an older pitbench calls it damage."""

import hashlib
import json

import pytest

from pitbench.records.fields import RECORDS
from pitbench.records.models import MODELS, Motor
from pitbench.store import contents, migrations, seal
from pitbench.store.logbook import Logbook

UNDER = {
    3: "993dcd1f2f452e1f",
    4: "cf242ab4f70c7656",
    5: "5deea686ccb9f29b",
    6: "9e1ce893ca85ce2f",
    7: "a9746ab0f8f22df2",
    8: "efb6bdf4442fcfd9",
}
"""What the names of all fields up to a schema number come to. Never change a line that was in a release: a field that
is added gets the next number as its `since`, and a line here."""


def names_until(schema: int) -> str:
    """All fields of all models that files of this number may have."""
    later = {(kind, d.field) for kind, data in RECORDS.items() for d in data if d.since > schema}
    kinds = [kind for kind, data in RECORDS.items() if any(d.since <= schema for d in data)]
    names = [f"{kind} {name}" for kind in kinds for name in MODELS[kind].model_fields]
    known = sorted(name for name in names if tuple(name.split()) not in later)
    return hashlib.sha256("\n".join(known).encode()).hexdigest()[:16]


@pytest.mark.parametrize("schema", UNDER)
def test_a_field_that_was_added_has_a_number_of_its_own(schema):
    assert names_until(schema) == UNDER[schema], "give the new field the next `since`, and that number a line in UNDER"


def test_the_number_of_today_is_listed():
    assert max(UNDER) == migrations.SCHEMA


def test_an_older_pitbench_calls_a_file_with_a_new_field_newer_not_damaged(tmp_path, monkeypatch):
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        logbook.save("a motor", [Motor.of({"name": "Heron", "model": "Shorebird"})])
    raw = path.read_bytes()
    monkeypatch.setattr(contents, "SCHEMA", migrations.SCHEMA - 1)
    with pytest.raises(contents.FromNewer, match="was written by a newer pitbench"):
        contents.read(raw)


def test_a_file_of_the_number_before_comes_in_as_it_is(tmp_path):
    path = tmp_path / "logbook.json"
    old = {
        "pitbench": {"logbook": {"schema": 3, "written_by": "0.1.0"}},
        "motor": {"m1": {"id": "m1", "name": "Heron"}},
    }
    path.write_bytes(b"".join(seal.sealed(old)))
    with Logbook.open(path) as logbook:
        assert logbook.rows("motor") == [{"id": "m1", "name": "Heron"}]
        logbook.save("its model", [Motor.of({"id": "m1", "name": "Heron", "model": "Shorebird"})])
    assert json.loads(path.read_bytes())["pitbench"]["logbook"]["schema"] == migrations.SCHEMA
