"""A row that is said to be just as its model writes it, against the record made of it."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError, model_validator

from pitbench.records.frame import Record
from pitbench.records.models import MODELS, BenchRun
from pitbench.store.field_checks import unlike

ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 10**400),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["", " Heron", "Heron", "no\tthing", "2026-02-30", "2026-02-28", "2026-02-28T14:61", "yes", "4"]),
    st.text(max_size=4),
    st.lists(st.text(max_size=3), max_size=2),
    st.dictionaries(st.text(max_size=3), st.text(max_size=3), max_size=2),
)
GOOD = {
    "id": "a",
    "motor_id": "m",
    "build_id": "b",
    "track_run_id": "r",
    "taken_at": "2026-05-17T14:02",
    "started_at": "2026-05-17T14:02:30",
    "written_at": "2026-05-17",
    "edited_at": "2026-05-17T14:02:03",
    "date": "2026-05-17",
    "name": "Heron",
    "what": "pinion",
    "teeth": 40,
    "module": 0.6,
    "after_s": 60.0,
    "temp_c": 70.0,
    "kv_rpm_per_v": 3953,
    "poles_assumed": 2.0,
    "session": "evening",
    "note": "new bearings",
    "check_motor": True,
    "since": "2026-05-17",
}


def writes(model, row):
    """Whether a row under its own id is just as the model writes it."""
    key = row["id"] if isinstance(row.get("id"), str) else "a"
    return not list(unlike(model, {key: row}))


def as_record(kind, row):
    """The record of a row, checked as strictly as a file is; None when there is none."""
    try:
        return MODELS[kind].model_validate_json(json.dumps(row), strict=True)
    except ValidationError:
        return None


@pytest.mark.parametrize("kind", MODELS)
@given(data=st.data())
def test_a_row_passes_only_if_its_record_keeps_every_value(kind, data):
    known = MODELS[kind].model_fields
    row = {name: value for name, value in GOOD.items() if name in known}
    for name in data.draw(st.lists(st.sampled_from([*known, "colour"]), max_size=3)):
        row[name] = data.draw(ODD)
    if writes(MODELS[kind], row):
        record = as_record(kind, row)
        assert all(value is not None and getattr(record, name) == value for name, value in row.items())


def test_rows_as_written_pass_and_no_others():
    row = {name: value for name, value in GOOD.items() if name in BenchRun.model_fields}
    assert writes(BenchRun, row) and writes(BenchRun, BenchRun.of(row).row())
    missing = {name: value for name, value in row.items() if name != "taken_at"}
    wrong = [
        {"taken_at": "2026-02-30"},
        {"kv_rpm_per_v": "3953"},
        {"kv_rpm_per_v": True},
        {"kv_rpm_per_v": 99.0},
        {"poles_assumed": 3.0},
        {"poles_assumed": None},
        {"session": " evening"},
        {"note": "two\nlines"},
        {"id": ""},
        {"colour": "red"},
    ]
    assert not writes(BenchRun, missing)
    assert not any(writes(BenchRun, {**row, **change}) for change in wrong)


@pytest.mark.parametrize("kind", MODELS)
def test_a_blank_value_is_never_as_written(kind):
    row = {name: value for name, value in GOOD.items() if name in MODELS[kind].model_fields}
    for name in MODELS[kind].model_fields:
        assert not writes(MODELS[kind], {**row, name: None})
    assert list(unlike(MODELS[kind], {"other": row})) == ["other"]


def test_a_model_that_checks_more_than_its_fields_lets_nothing_pass():
    class Strange(Record):
        @model_validator(mode="after")
        def never(self) -> "Strange":
            raise ValueError("no")

    assert not writes(Strange, {"id": "a"})
