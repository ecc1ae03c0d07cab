"""A sample of the changed files; ten thousand of each kind are tried by `python -m tests.faults`."""

import pytest

from tests.faults.fuzz import fuzz, logbooks, run, try_logbook, try_sheet


@pytest.mark.parametrize(("what", "count"), [("logbooks", 250), ("sheets", 150), ("load logs", 80)])
def test_no_changed_file_is_taken_without_a_word(what, count):
    outcomes = run(what, count)
    assert outcomes.total() >= count
    assert len(outcomes) >= 3


def test_a_quiet_opening_would_be_noticed(tmp_path):
    path = tmp_path / "logbook.json"
    small = logbooks()[1]
    assert try_logbook(path, small, small) == "as it was"
    with pytest.raises(AssertionError, match="opened without a word"):
        try_logbook(path, b"another", small)


def test_a_cell_with_a_line_break_is_told_on_one_line(tmp_path):
    raw = b"motor,turns\nWhio,13.5\n"
    assert try_sheet(tmp_path / "sheet.csv", raw, raw + b'Plover,13.5,"too\nmuch"\n') == "kept out: motors"


def test_a_failure_is_told_and_counts(monkeypatch, capsys):
    monkeypatch.setattr("tests.faults.fuzz.try_sheet", lambda *_: 1 / 0)
    assert fuzz(20) is True
    assert "sheets: ZeroDivisionError" in capsys.readouterr().out
