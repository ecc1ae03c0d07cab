"""Every command that the docs name: the guide's examples run in their order on a fresh machine, others are read."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from pitbench.__main__ import Parser, _logbook_option, _module, _names, main
from tests.unit.desk.load_logs import load_log

TOP = Path(__file__).parents[2]
PAGES = (TOP / "README.md", *sorted((TOP / "docs").glob("*.md")))
GUIDE = (TOP / "docs" / "guide.md").read_text(encoding="utf-8")
EXAMPLES = [
    line
    for block in re.findall(r"```\n(.*?)```", GUIDE, re.DOTALL)
    for line in block.splitlines()
    if line.startswith("pitbench ")
]
IN_A_LINE = [
    (page.name, " ".join(said.split()))
    for page in PAGES
    for said in re.findall(r"`(pitbench\s[^`]+)`", page.read_text(encoding="utf-8"))
]
OPTIONS = sorted({said.split()[0] for said in re.findall(r"`(--[a-z][^`\n]*)`", GUIDE)})


@pytest.fixture
def fresh(tmp_path, monkeypatch):
    """A machine with nothing but the files a reader of the guide has."""
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    place = tmp_path / "work"
    place.mkdir()
    monkeypatch.chdir(place)
    for sheet in ("motors", "bench"):
        shutil.copy(TOP / "demo_data" / f"{sheet}.csv", place)
    (place / "run3.csv").write_text(load_log(), encoding="utf-8")
    return place


def test_the_guide_s_examples_work_in_their_order(fresh, capsys):
    """Before the load log comes the track run it belongs to; before the merge, a team mate's file."""
    assert len(EXAMPLES) >= 9
    for line in EXAMPLES:
        words = shlex.split(line)[1:]
        if words[0] == "loadlog":
            assert main(["load", *(str(TOP / "demo_data" / f"{name}.csv") for name in ("events", "track"))]) == 0
        if words[0] == "merge":
            (theirs,) = (fresh.parent / "home").rglob("logbook.json")
            shutil.copy(theirs, words[1])
        assert main(words) == 0, f"{line}: {capsys.readouterr().err}"
    assert {"weekend.json", "saltmouth.html", "dock.md"} <= {path.name for path in fresh.iterdir()}


@pytest.mark.parametrize(("page", "said"), IN_A_LINE, ids=[f"{page} {said}" for page, said in IN_A_LINE])
def test_a_command_in_a_sentence_is_one_with_these_words(page, said):
    name, *words = shlex.split(said)[1:]
    assert name in _names(), page
    parser = Parser(prog="pitbench", allow_abbrev=False)
    _module(name).add_arguments(parser)
    _logbook_option(parser)
    if words:  # alone it is the command's name
        parser.parse_args(words)


@pytest.mark.parametrize("option", OPTIONS)
def test_an_option_the_guide_names_is_one(option):
    def options(name):
        parser = Parser(prog="pitbench", add_help=False)
        _module(name).add_arguments(parser)
        _logbook_option(parser)
        return {word for action in parser._actions for word in action.option_strings}

    assert any(option in options(name) for name in _names())


@pytest.mark.parametrize(
    "words", [["changes"], ["check"], ["export", "FOLDER"], ["link"], ["restore"], ["swaps"], ["rank"]]
)
def test_what_the_guide_says_prints_does(fresh, capsys, words):
    assert main(["demo", "--to", "weekend.json"]) == 0
    assert main([*words, "--logbook", "weekend.json"]) == 0
    assert capsys.readouterr().out.strip()


def test_the_newest_backup_comes_back(fresh, capsys):
    for sheet in ("motors", "bench"):
        assert main(["load", f"{sheet}.csv"]) == 0
    assert main(["restore"]) == 0 and main(["restore", "newest"]) == 0 and main(["check"]) == 0


def test_every_link_and_picture_of_the_docs_is_there():
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        anchors = {_anchor(head) for head in re.findall(r"^#+ (.+)$", text, re.MULTILINE)}
        for target in re.findall(r"\]\(([^)]+)\)", text):
            path, _, anchor = target.partition("#")
            assert not path or (page.parent / path).exists(), f"{page.name}: {target}"
            assert path or not anchor or anchor in anchors, f"{page.name}: {target}"


def _anchor(head):
    return re.sub(r"[^\w -]", "", head.casefold()).replace(" ", "-")
