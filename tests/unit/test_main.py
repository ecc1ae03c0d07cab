"""The front of the command line: words in, exit status out, and never a traceback."""

import errno
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

import pitbench.__main__ as front
from pitbench import __version__, bootstrap
from pitbench.commands import check
from pitbench.records.refusal import Refusal


@pytest.fixture
def app(monkeypatch):
    """The app is not started; the logbook it would open is noted."""
    opened = []
    monkeypatch.setattr(bootstrap, "run_app", lambda path: opened.append(path) or 0)
    return opened


@pytest.fixture
def failing(monkeypatch):
    """`check` that fails with an error of one's choice."""

    def fail(error):
        def run(args):
            raise error

        monkeypatch.setattr(check, "run", run)
        return front.main(["check"])

    return fail


def test_no_command_opens_the_app(app, tmp_path):
    assert front.main([]) == 0
    assert front.main(["--logbook", str(tmp_path)]) == 0
    assert front.main([f"--logbook={tmp_path}"]) == 0
    assert app == [None, tmp_path, tmp_path]


@pytest.mark.parametrize(
    "words",
    [["--logbook", "a.json", "check"], ["--logbook=a.json", "check"], ["check", "--logbook", "a.json"]],
)
def test_the_logbook_stands_before_or_after_the_command(monkeypatch, words):
    seen = []
    monkeypatch.setattr(check, "run", lambda args: seen.append(str(args.logbook)) or 0)
    assert front.main(words) == 0
    assert seen == ["a.json"]


def test_help_names_every_command(capsys):
    assert front.main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert all(f"  {name} " in shown for name in ("check", "restore"))
    assert front.main(["--version"]) == 0
    assert capsys.readouterr().out == f"pitbench {__version__}\n"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["chekc"], "pitbench has no command 'chekc'; did you mean check?"),
        (["__init__"], "pitbench has no command '__init__'; "),
        (["check", "--nope"], "pitbench check: unrecognized arguments: --nope; `pitbench check --help` shows"),
        (["--nope"], "pitbench: unrecognized arguments: --nope; `pitbench --help` shows"),
        (["--logbook"], "pitbench: argument --logbook: expected one argument; "),
        (["check", "--acc"], "unrecognized arguments: --acc"),
    ],
)
def test_wrong_words_get_one_sentence_and_2(capsys, words, said):
    assert front.main(words) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.count("\n") == 1
    assert printed.out == ""


def test_a_refusal_is_its_sentence_and_its_status(capsys, failing):
    assert failing(Refusal("Heron\x1b[31m\nis no motor.", status=1)) == 1
    assert capsys.readouterr().err == "Heron [31m is no motor.\n"


def test_an_error_of_the_system_is_a_sentence_and_1(capsys, failing):
    assert failing(OSError(28, "No space left on device", "out.csv")) == 1
    assert capsys.readouterr().err == "out.csv: no space left on device; what was saved before stands.\n"
    assert failing(TimeoutError()) == 1
    assert capsys.readouterr().err == "timeouterror; what was saved before stands.\n"


def test_an_error_of_our_own_says_where_the_details_are(capsys, failing, monkeypatch, tmp_path):
    monkeypatch.setattr("platformdirs.user_state_dir", lambda *_, **__: str(tmp_path / "state"))
    assert failing(ZeroDivisionError("x / 0")) == 1
    said = capsys.readouterr().err
    log = tmp_path / "state" / "errors.log"
    assert said == (
        f"pitbench met an internal error (ZeroDivisionError); what was saved before stands, the details are in {log}.\n"
    )
    assert "ZeroDivisionError: x / 0" in log.read_text()
    assert log.stat().st_mode & 0o777 == 0o600
    monkeypatch.setattr("platformdirs.user_state_dir", lambda *_, **__: str(log))
    assert failing(ZeroDivisionError()) == 1
    assert "no details could be written" in capsys.readouterr().err


def test_stopping_is_no_error_of_ours(capsys, failing):
    assert failing(KeyboardInterrupt()) == 130
    assert capsys.readouterr().err == "pitbench was stopped; what was saved stands.\n"


def test_a_real_process_has_the_status_and_no_traceback(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "pitbench", "check", "--logbook", tmp_path], capture_output=True, text=True
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == f"{tmp_path} is a folder; name a file in it, {tmp_path}/logbook.json would be right.\n"


def test_a_reader_that_stops_early_is_no_error():
    process = subprocess.Popen(
        [sys.executable, "-m", "pitbench", "--help"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    process.stdout.close()
    assert process.stderr.read() == ""
    assert process.wait() == 1
    process.stderr.close()


SHEET = "motor,taken_at,kv_rpm_per_v\nHeron,2026-01-01,4000\n"


@pytest.fixture
def stocked(tmp_path, monkeypatch):
    """A folder with a logbook and one edited by hand, where commands run."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "b.csv").write_text(SHEET, encoding="utf-8")
    assert front.main(["load", "b.csv", "--logbook", "l.json"]) == 0
    (tmp_path / "c.csv").write_text(SHEET.replace("Heron", "Whio"), encoding="utf-8")
    assert front.main(["load", "c.csv", "--logbook", "l.json"]) == 0
    edited = (tmp_path / "l.json").read_bytes().replace(b"4000", b"4001")
    (tmp_path / "edited.json").write_bytes(edited)
    return tmp_path


STORING = [
    (["load", "b.csv", "--logbook", "n.json"], "n.json", "What could be loaded is stored"),
    (["load", "b.csv", "--json", "--logbook", "n.json"], "n.json", "What could be loaded is stored"),
    (["merge", "l.json", "--logbook", "n.json"], "n.json", "What l.json has is merged"),
    (["restore", "newest", "--logbook", "l.json"], "l.json", "l.json is restored"),
    (["demo", "--to", "d.json"], "d.json", "d.json holds the demo weekend"),
    (["export", "out", "--logbook", "l.json"], "out/bench.csv", "The sheets are in out"),
    (["check", "--accept", "--logbook", "edited.json"], "edited.json", "edited.json is taken as it was edited"),
    (["check", "--accept", "--json", "--logbook", "edited.json"], "edited.json", "is taken as it was edited"),
]


class Full(io.StringIO):
    """Takes no more."""

    def write(self, text):
        raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize(("words", "made", "said"), STORING, ids=[" ".join(each[0][:3]) for each in STORING])
def test_what_was_stored_is_said_even_when_it_cannot_be_printed(stocked, monkeypatch, capsys, words, made, said):
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", Full())
        assert front.main(words) == 1
    complaint = capsys.readouterr().err
    assert complaint.endswith(f"{said}, only the words about it could not be printed (no space left on device).\n")
    assert complaint.count("\n") == 1
    assert (stocked / made).exists()


def test_a_sheet_that_was_kept_out_is_not_said_to_be_stored(stocked, monkeypatch, capsys):
    (stocked / "bad.csv").write_text(f"{SHEET}Whio,never,4000\n", encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", Full())
        assert front.main(["load", "bad.csv", "--logbook", "n.json"]) == 1
    assert capsys.readouterr().err.endswith("The answer could not be printed (no space left on device).\n")
    assert not (stocked / "n.json").exists()


@pytest.mark.parametrize(
    ("how", "why"),
    [
        ('exec "$@" > /dev/full', "no space left on device"),
        ('exec "$@" >&-', "standard output is closed"),
        ('{ sleep 0.2; exec "$@"; } | true', "broken pipe"),
    ],
)
def test_a_real_process_whose_output_goes_nowhere_says_what_it_stored(stocked, how, why):
    load = [sys.executable, "-m", "pitbench", "load", "b.csv", "--logbook", "n.json"]
    env = {**os.environ, "PYTHONPATH": str(Path(front.__file__).parents[1])}
    done = subprocess.run(["sh", "-c", how, "sh", *load], stderr=subprocess.PIPE, text=True, env=env)
    assert done.stderr == f"What could be loaded is stored, only the words about it could not be printed ({why}).\n"
    assert done.returncode == (0 if "|" in how else 1)
    assert (stocked / "n.json").exists()


def test_an_answer_that_stored_nothing_only_says_that_it_was_not_printed(stocked):
    run = [sys.executable, "-m", "pitbench", "rank", "--logbook", str(stocked / "l.json")]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(run, stdout=full, stderr=subprocess.PIPE, text=True)
    assert (done.returncode, done.stderr) == (1, "The answer could not be printed (no space left on device).\n")


def test_nothing_heavy_is_imported_to_find_a_command():
    """What stands before the first frame of the app: no pydantic model, no tinydb, no numpy."""
    heavy = ("pydantic", "pydantic_core", "tinydb", "numpy", "textual", "platformdirs")
    code = f"import sys, pitbench.__main__, pitbench.bootstrap; print([m for m in {heavy} if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout == "[]\n"


class TestBootstrap:
    """Where the logbook is, and how it is opened for whom."""

    def test_the_default_place_is_in_the_users_data_folder(self, monkeypatch, tmp_path):
        monkeypatch.setattr("platformdirs.user_data_dir", lambda name, **_: str(tmp_path / name))
        assert bootstrap.default_path() == tmp_path / "pitbench" / "logbook.json"
        for words in (["check"], ["check", "--json"]):
            assert front.main(words) == 2
        with pytest.raises(Refusal, match=r"logbook.json does not exist; `pitbench load`"):
            bootstrap.open_for_reading(None)
        assert list(tmp_path.iterdir()) == []
        with bootstrap.open_for_writing(None) as logbook:
            assert logbook.path == tmp_path / "pitbench" / "logbook.json"
        assert (tmp_path / "pitbench").stat().st_mode & 0o777 == 0o700

    def test_the_app_reads_what_another_has_open(self, tmp_path):
        from pitbench.records.models import Motor

        path = tmp_path / "logbook.json"
        with bootstrap.open_for_app(path) as first:
            first.save("one", [Motor(name="Heron")])
            second = bootstrap.open_for_app(path)
            assert "open in another pitbench" in second.read_only_why
            assert len(second.rows("motor")) == 1
            first.save("two", [Motor(name="Plover")])
            assert second.reread()
            assert len(second.rows("motor")) == 2

    def test_the_app_waits_for_the_first_save_of_another(self, tmp_path):
        from pitbench.records.models import Motor

        path = tmp_path / "logbook.json"
        with bootstrap.open_for_app(path) as first:
            second = bootstrap.open_for_app(path)
            assert second.rows("motor") == []
            assert not second.reread()
            first.save("one", [Motor(name="Heron")])
            assert second.reread()
            assert len(second.rows("motor")) == 1

    def test_the_app_reads_what_it_may_not_write(self, tmp_path, monkeypatch):
        import os

        path = tmp_path / "logbook.json"
        from pitbench.records.models import Motor

        with bootstrap.open_for_app(path) as logbook:
            logbook.save("one", [Motor(name="Heron")])
        monkeypatch.setattr(os, "access", lambda place, mode: False)
        assert "may not be written by you" in bootstrap.open_for_app(path).read_only_why
        with pytest.raises(Refusal, match="may not be written by you"):
            bootstrap.open_for_app(tmp_path / "another.json")
        with pytest.raises(Refusal, match="is no folder"):
            bootstrap.open_for_app(tmp_path / "nowhere" / "logbook.json")


def test_the_app_without_a_terminal_is_refused_in_a_sentence(tmp_path):
    words = [sys.executable, "-m", "pitbench", "--logbook", str(tmp_path / "logbook.json")]
    done = subprocess.run(words, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert done.stderr == "The app needs a terminal; `pitbench rank` prints the ranking without one.\n"


@pytest.mark.parametrize("name", ["caf\udce9", "q\x1b]0;EVIL\x07"], ids=["not UTF-8", "steering"])
def test_an_error_of_our_own_is_written_down_whatever_the_words_were(failing, monkeypatch, tmp_path, capsys, name):
    monkeypatch.setattr("platformdirs.user_state_dir", lambda *_, **__: str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["pitbench", "check", name])
    assert failing(ZeroDivisionError(name)) == 1
    assert "the details are in" in capsys.readouterr().err
    log = (tmp_path / "errors.log").read_text(encoding="utf-8")
    assert "ZeroDivisionError" in log and "\x1b" not in log and "\x07" not in log


def test_writing_an_error_down_never_raises(failing, monkeypatch, capsys):
    def no_home(*_, **__):
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr("platformdirs.user_state_dir", no_home)
    assert failing(ZeroDivisionError()) == 1
    assert "(ZeroDivisionError); what was saved before stands, and no details could be written.\n" in (
        capsys.readouterr().err
    )
