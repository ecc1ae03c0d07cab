"""The commands load and export as they are typed: what is printed where, the exit status, and what is left on disk."""

import codecs
import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from pitbench.__main__ import main
from pitbench.demo import demo_data_folder, demo_logbook
from pitbench.store.logbook import Logbook

HEADER = "motor,taken_at,test_voltage_v,kv_rpm_per_v,no_load_current_a\n"
GOOD = HEADER + "Heron,2026-05-01 10:00,3.7,3952,4.10\nPlover,2026-05-01 10:10,3.7,3940,4.00\n"
DEMO = [demo_data_folder() / f"{name}.csv" for name in ("bench", "classes", "builds", "motors")]


@pytest.fixture
def desk(tmp_path, capsys):
    """Type a command; the status, what went to standard output, and what to standard error."""

    def typed(*words: str | Path) -> tuple[int, str, str]:
        status = main(["--logbook", str(tmp_path / "logbook.json"), *map(str, words)])
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return typed


def sheet(folder: Path, content: str | bytes) -> Path:
    path = folder / "bench.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_the_demo_weekend_goes_in_without_a_word_of_doubt(desk):
    status, out, err = desk("load", *DEMO)
    assert (status, err) == (0, "")
    assert "bench.csv: 78 bench runs added.\n" in out
    assert "2 classes added: club 13.5T, club 21.5T." in out
    assert "!" not in out


def test_short_words_of_what_was_done(desk, tmp_path):
    path = sheet(tmp_path, GOOD.replace("current_a", "current_a,humidity").replace("4.10", "41.0,60 %"))
    status, out, err = desk("load", path)
    assert (status, err) == (0, "")
    assert out.splitlines() == [
        "bench.csv: 2 bench runs added.",
        "bench.csv: columns without a field of their own, kept as text: humidity.",
        "! bench.csv line 2: No-load current 41: 0.5 to 15 A is usual. The decimal sign in the wrong place? "
        "It waits, in no figure.",
        "1 number waits for your answer: q asks in the app, or name its column under kept.",
        "2 motors added: Heron, Plover.",
    ]
    status, out, err = desk("load", sheet(tmp_path, GOOD))
    assert (status, err) == (0, "")
    assert out.splitlines() == [
        "bench.csv: 1 there already, 1 different.",
        "bench.csv: left alone, the logbook says otherwise on line 2; --replace takes the sheet's word.",
    ]


def test_json_is_one_object_with_the_keys_that_others_rely_on(desk, tmp_path):
    status, out, err = desk("load", "--json", sheet(tmp_path, GOOD))
    answer = json.loads(out)
    assert (status, err) == (0, "")
    assert set(answer) == {"files", "motors_added", "suspects"}
    assert answer["motors_added"] == ["Heron", "Plover"]
    assert answer["files"] == [
        {
            "file": "bench.csv",
            "sheet": "bench",
            "rows": 2,
            "added": 2,
            "same": 0,
            "differs": 0,
            "replaced": 0,
            "unknown_columns": [],
            "problems": [],
        }
    ]


def test_a_problem_is_one_sentence_and_nothing_is_stored(desk, tmp_path):
    status, out, err = desk("load", sheet(tmp_path, GOOD.replace("3952", "fast")))
    assert status == 2
    assert err == 'bench.csv line 2: kv_rpm_per_v "fast" is no number, write one like 3500.\n'
    assert out == "bench.csv: nothing stored, 1 problem.\n"
    assert not (tmp_path / "logbook.json").exists()
    both = desk("load", sheet(tmp_path, GOOD.replace("3952", "fast").replace("3940", "39400")))[1]
    assert "1 number would wait for your answer, unless its column is named under kept." in both


def test_good_rows_are_stored_and_the_others_listed_with_status_nought(desk, tmp_path):
    status, out, err = desk("load", "--good-rows", sheet(tmp_path, GOOD.replace("3952", "fast")))
    assert status == 0
    assert "1 bench run added" in out
    assert "1 row left out for a problem" in out
    assert "fast" in err


BAD = {
    "missing column": (HEADER.replace("taken_at,", "") + "Heron,3.7,3952,4.1\n", "taken_at is missing"),
    "negative": (GOOD.replace("4.10", "-4.10"), 'no_load_current_a "-4.10" is not possible, 0.01 to 100 A would be'),
    "impossible": (GOOD.replace("3952", "398200"), "is not possible, 100 to 100000 rpm/V would be"),
    "nan": (GOOD.replace("3952", "NaN"), '"NaN" is no number'),
    "too large": (GOOD.replace("3952", "1e999"), '"1e999" is no number, one between 100 and 100000 rpm/V'),
    "empty": ("", "is empty"),
    "binary": (b"\x7fELF\x02\x01\x01\0\0\0" + bytes(range(256)), "is a binary file"),
    "utf-16": (codecs.BOM_UTF16_LE + GOOD.encode("utf-16-le"), "is UTF-16"),
    "another code page": (GOOD.replace("Heron", "Häher").encode("latin-1"), "is not UTF-8"),
    "no sheet": ("apples,pears\n1,2\n", "the headers are those of no sheet"),
}


@pytest.mark.parametrize("name", sorted(BAD))
@pytest.mark.parametrize("how", [(), ("--check",), ("--json",)])
def test_bad_input_gets_one_clear_sentence_and_leaves_nothing(desk, tmp_path, name, how):
    content, words = BAD[name]
    status, out, err = desk("load", *how, sheet(tmp_path, content))
    assert status == 2
    assert words in err
    assert len(err.splitlines()) == 1
    assert "Traceback" not in out + err
    assert not (tmp_path / "logbook.json").exists()
    if "--json" in how and out:
        assert json.loads(out)["files"][0]["problems"]


def test_two_days_ahead_names_the_computers_date(desk, tmp_path):
    before = datetime.now()
    ahead = f"{before + timedelta(days=2):%Y-%m-%d %H:%M}"
    status, _, err = desk("load", sheet(tmp_path, GOOD.replace("2026-05-01 10:00", ahead)))
    assert status == 2
    days = {f"{day:%Y-%m-%d}" for day in (before, datetime.now())}  # midnight may have come meanwhile
    assert any(f"this computer's clock, which says {day}" in err for day in days)


def test_a_folder_and_a_missing_file_keep_everything_out(desk, tmp_path):
    for wrong, words in ((tmp_path, "is a folder"), (tmp_path / "none.csv", "does not exist")):
        status, out, err = desk("load", sheet(tmp_path, GOOD), wrong)
        assert (status, out) == (2, "")
        assert words in err
        assert not (tmp_path / "logbook.json").exists()


def test_check_makes_no_logbook_and_locks_none(desk, tmp_path):
    path = sheet(tmp_path, GOOD)
    status, out, _ = desk("load", "--check", path)
    assert (status, [p.name for p in tmp_path.iterdir()]) == (0, ["bench.csv"])
    assert "2 bench runs to add" in out
    far = desk("load", "--check", sheet(tmp_path, GOOD.replace("3952", "39520")))[1]
    assert "1 number would wait for your answer, unless its column is named under kept." in far
    sheet(tmp_path, GOOD)
    desk("load", path)
    with Logbook.open(tmp_path / "logbook.json"):
        assert desk("load", "--check", path)[:2] == (0, "bench.csv: 2 there already.\n")
        status, _, err = desk("load", path)
        assert status == 1
        assert len(err.splitlines()) == 1


def test_export_and_load_again(desk, tmp_path):
    assert desk("export", tmp_path / "none")[0] == 2
    desk("load", *DEMO)
    status, out, _ = desk("export", tmp_path / "out")
    assert (status, out) == (0, f"{tmp_path / 'out'}: classes.csv, motors.csv, builds.csv, bench.csv written.\n")
    status, out, _ = desk("load", *sorted((tmp_path / "out").iterdir()))
    assert status == 0
    assert "bench.csv: 78 there already." in out
    status, _, err = desk("export", demo_data_folder())
    assert status == 2
    assert "was not written by export" in err


def test_check_refuses_what_a_load_would(tmp_path, capsys):
    for place, words in (("x" * 300, "too long"), ("none/logbook.json", "is no folder")):
        for how in ((), ("--check",)):
            status = main(["--logbook", str(tmp_path / place), "load", *how, str(sheet(tmp_path, GOOD))])
            assert (status, words in capsys.readouterr().err) == (2, True)


ODD_NAMES = {
    "not UTF-8": ("sh\udce9.csv", "load of sh.csv"),
    "steering": ("q\x1b]0;EVIL\x07.csv", "load of q]0;EVIL.csv"),
    "two lines": ("new\nline.csv", "load of new line.csv"),
    "right to left": ("\u202efdp.csv", "load of fdp.csv"),
}


@pytest.mark.parametrize("name", sorted(ODD_NAMES))
@pytest.mark.parametrize("how", [(), ("--json",)])
def test_a_sheet_may_be_called_anything_and_the_logbook_holds_only_text(desk, tmp_path, name, how):
    called, words = ODD_NAMES[name]
    path = tmp_path / called
    path.write_text(GOOD)
    status, out, err = desk("load", *how, path)
    assert (status, err) == (0, "")
    assert json.loads(out) if how else len(out.splitlines()) == 2
    changes = json.loads((tmp_path / "logbook.json").read_bytes())["changes"]
    assert [change["words"] for change in changes.values()] == [words]


def test_every_command_takes_a_logbook_and_a_folder_whose_names_are_not_utf8(tmp_path, capsys):
    path = tmp_path / "caf\udce9.json"
    path.write_bytes(demo_logbook().read_bytes())
    for words in (
        ("load", "--replace", sheet(tmp_path, GOOD)),
        ("check",),
        ("check", "--json"),
        ("rank",),
        ("forecast", "--motor", "Whio", "--pinion", "30", "--spur", "72"),
        ("restore",),
        ("restore", "newest"),
        ("export", tmp_path / "d\udce9p\udcf4t"),
    ):
        assert (words, main(["--logbook", str(path), *map(str, words)])) == (words, 0)
        assert capsys.readouterr().err == ""
    assert (tmp_path / "d\udce9p\udcf4t" / "bench.csv").exists()


def test_a_line_stays_a_line_whatever_a_file_is_called(tmp_path, capsys):
    odd = tmp_path / "new\nline.json"
    own = tmp_path / "own.json"
    assert main(["demo", "--to", str(odd)]) == 0
    assert capsys.readouterr().out.count("\n") == 1
    for status, words, lines in (
        (0, ["--logbook", odd, "check"], 3),
        (0, ["--logbook", odd, "restore"], 1),
        (0, ["--logbook", odd, "export", tmp_path / "new\nfolder"], 2),  # load logs stay, which is said
        (0, ["--logbook", own, "merge", odd], 2),
        (0, ["--logbook", odd, "load", sheet(tmp_path, GOOD)], 2),
        (0, ["--logbook", odd, "restore", "newest"], 1),
    ):
        assert main([str(word) for word in words]) == status
        assert (words, capsys.readouterr().out.count("\n")) == (words, lines)
    odd.write_bytes(b"{")
    assert main(["--logbook", str(odd), "check"]) == 2
    assert capsys.readouterr().out.count("\n") == 4


def test_a_file_called_like_an_option_is_named_with_its_folder(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("-sheet.csv").write_text(GOOD)
    assert main(["--logbook", "own.json", "load", "-sheet.csv"]) == 2
    assert capsys.readouterr().err.endswith("; the file -sheet.csv is named ./-sheet.csv\n")
    assert main(["--logbook", "own.json", "load", "./-sheet.csv"]) == 0
    Path("own.json").rename("-own.json")
    for words in (["--logbook", "-own.json", "check"], ["check", "--logbook", "-own.json"]):
        assert main(words) == 2
        assert capsys.readouterr().err.endswith("; the file -own.json is named ./-own.json\n")
    assert main(["--logbook", "./-own.json", "check"]) == 0
    assert main(["demo", "--to=-demo.json"]) == 0
    assert "`pitbench --logbook=-demo.json` opens it" in capsys.readouterr().out


def test_a_name_that_is_too_long_is_one_sentence(tmp_path, capsys):
    main(["--logbook", str(tmp_path / "own.json"), "load", str(sheet(tmp_path, GOOD))])
    too_long = tmp_path / ("x" * 300)
    for words in (["export", too_long], ["demo", "--to", too_long], ["merge", too_long], ["load", too_long]):
        capsys.readouterr()
        status = main(["--logbook", str(tmp_path / "own.json"), *map(str, words)])
        printed = capsys.readouterr()
        assert (printed.out, printed.err.count("\n"), "name too long" in printed.err) == ("", 1, True)
        assert status == 2 or words[0] == "load"


def test_the_day_comes_first_or_not_as_the_team_has_it(desk, tmp_path):
    path = sheet(tmp_path, HEADER + "Heron,3/4/2026 9:00,3.7,3952,4.10\n")
    desk("load", path)
    with Logbook.open(tmp_path / "logbook.json") as logbook:
        logbook.save_settings("order of dates", logbook.settings().with_(day_first=False))
    desk("load", path)
    with Logbook.open(tmp_path / "logbook.json") as logbook:
        assert [run["taken_at"] for run in logbook.rows("bench_run")] == ["2026-04-03T09:00", "2026-03-04T09:00"]
