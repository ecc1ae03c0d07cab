"""`pitbench report`: the race day as a file, read back by parsers that are not ours."""

import json
import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from pitbench.__main__ import main
from pitbench.demo import demo_logbook
from pitbench.desk.race_day import event_meant, race_day
from pitbench.paper.files import as_text
from pitbench.paper.race_day import document_of
from pitbench.store.logbook import Logbook
from pitbench.words.ranking import FLAGS
from pitbench.words.report import CAUTIONS
from tests.flows.test_hostile_text import HOSTILE, hostile_logbook
from tests.unit.paper.outside import STRICT, WITH_MORE, read_html, read_tables, tokens

MARKUP = "</td><script>x</script>&lt;\" '|*a*_b_`c`[d](e)<!--#~~f~~ www.example.org אדום 4"
PATHS_AND_CLOCKS = re.compile(r"[0-9a-f]{16}|[0-9a-f]{8}-[0-9a-f]{4}|/(?:tmp|home|root|usr)\b|\d\d:\d\d:\d\d")


def report(path, *words, logbook=None):
    return main(["report", *words, "-o", str(path), "--logbook", str(logbook or demo_logbook())])


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "day.html"
    assert report(path, "Saltmouth") == 0
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "day.md"
    assert report(path, "Saltmouth") == 0
    return path.read_text(encoding="utf-8")


def table(rows, head):
    """The rows under the heads of which one is this, by those heads."""
    start = next(at for at, row in enumerate(rows) if head in row)
    heads = rows[start]
    told = []
    for row in rows[start + 1 :]:
        if len(row) != len(heads):
            break
        told.append(dict(zip(heads, row, strict=True)))
    return told


def stored(kind):
    book = json.loads(demo_logbook().read_bytes())
    event = next(key for key, row in book["event"].items() if row["date"].startswith("2026-05-16"))
    return [row for row in book[kind].values() if row.get("event_id") == event]


@pytest.mark.parametrize("form", ["html", "md"])
def test_every_run_change_and_motor_has_its_row(page, marked, form, capsys):
    rows = read_html(page).rows if form == "html" else read_tables(marked)
    book = json.loads(demo_logbook().read_bytes())
    motors = {key: row["name"] for key, row in book["motor"].items()}
    runs = {(row["start"], row["motor"]): row for row in table(rows, "laps/time")}
    assert len(runs) == len(stored("track_run")) > 5
    for run in stored("track_run"):
        row = runs[run["started_at"][11:16], motors[run["motor_id"]]]
        assert (row["pinion"], row["spur"]) == (f"{run['pinion']:.0f}", f"{run['spur']:.0f}")
        assert row["read °C"].split()[0] == f"{run['finish_reading_c']:.0f}"
        assert abs(float(row["finish °C"].split(" ±")[0]) - run["finish_reading_c"]) < 5
    logs = {log["track_run_id"]: log["figures"]["kv_rpm_per_v"] for log in book["load_log"].values()}
    for run in stored("track_run"):
        said = re.findall(r"load log: KV (\d+) ±", runs[run["started_at"][11:16], motors[run["motor_id"]]]["besides"])
        assert said == ([f"{logs[run['id']]:.0f}"] if run["id"] in logs else [])
    changes = {(row["written"], row["what"]): row for row in table(rows, "what it brought")}
    for entry in stored("setup_entry"):
        row = changes[entry["written_at"][11:16], entry["what"]]
        assert (row["was"], row["now"]) == (entry.get("was", "·"), entry.get("now", "·"))
        assert row["outcome"] == entry.get("outcome", "open")
    for class_, count in (("club 13.5T", 6), ("club 21.5T", 2)):
        assert main(["rank", "--json", "--class", class_, "--logbook", str(demo_logbook())]) == 0
        ranked = json.loads(capsys.readouterr().out)["motors"]
        told = {row["motor"]: row["best, in 100"] for at in _ranks(rows) for row in at}
        assert len(ranked) == count
        for motor in ranked:
            number = f"{100 * motor['chance_best']:.0f}" if motor["chance_best"] >= 0.005 else "under 1"
            assert told[motor["motor"]] == number


def _ranks(rows):
    starts = [at for at, row in enumerate(rows) if "best, in 100" in row]
    return [table(rows[at:], "best, in 100") for at in starts]


def test_html_names_nothing_outside_itself_and_says_all_plots_draw(page):
    read = read_html(page)
    assert not {"script", "link", "img", "iframe", "object", "a", "base", "form", "use", "image"} & set(read.tags)
    names = {name for _, name, _ in read.attributes}
    assert not {"src", "href", "xlink:href", "style", "srcset", "action"} & names
    assert not [name for name in names if name.startswith("on")]
    assert "url(" not in page and "@import" not in page and "http:" not in page and "https:" not in page
    assert read.tags.count("svg") == 6  # chances and plan of two classes, finish temperatures, pace
    assert not re.search(r"(?:nan|inf)\b", "".join(value or "" for _, _, value in read.attributes))


def test_no_id_path_or_clock_and_the_same_bytes_each_time(tmp_path, page, marked):
    for text in (page, marked):
        *body, seal = text.rstrip("\n").split("\n")
        assert not PATHS_AND_CLOCKS.search("\n".join(body)) and "pitbench" in seal
    copy = tmp_path / "elsewhere" / "other.json"
    copy.parent.mkdir()
    copy.write_bytes(demo_logbook().read_bytes())
    paths = [tmp_path / "b.html", tmp_path / "b.md"]
    code = (
        "import sys; from pitbench.__main__ import main; [main([*sys.argv[1:5], '-o', path]) for path in sys.argv[5:]]"
    )
    words = ["report", "Saltmouth 2026-05-16", "--logbook", str(copy), *map(str, paths)]
    env = {**os.environ, "PYTHONHASHSEED": "5", "TZ": "Pacific/Auckland", "LC_ALL": "C.UTF-8"}
    subprocess.run([sys.executable, "-c", code, *words], check=True, env=env, capture_output=True)
    assert [path.read_text(encoding="utf-8") for path in paths] == [page, marked]


@pytest.mark.parametrize("hostile", [MARKUP, HOSTILE, " " + "n" * 69], ids=["markup", "steering", "long"])
def test_text_of_the_logbook_stays_text(tmp_path, page, marked, hostile):
    """The same tags and tokens as with plain names, and every name whole."""
    with Logbook.open(hostile_logbook(tmp_path / "logbook.json", hostile), write=False) as logbook:
        snapshot = logbook.snapshot()
        document = document_of(race_day(snapshot, event_meant(snapshot, f"Saltmouth{hostile} 2026-05-16")))
    read, text = read_html(as_text(document, ".html")), as_text(document, ".md")
    assert [tag for tag in read.tags if tag != "bdi"] == read_html(page).tags
    assert len(read.comments) == 1  # the seal
    for parser in (STRICT, WITH_MORE):
        assert kinds(parser, text) == kinds(parser, marked)
    shown = " ".join(re.sub(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", " ", f"Whio{hostile}").split())
    for rows in (read.rows, read_tables(text)):
        cells = [" ".join(cell.strip("\u2068\u2069").split()) for row in rows for cell in row]
        assert cells.count(shown) >= 5  # its runs, and its place in the ranking


def kinds(parser, text):
    """Kinds of all tokens; texts side by side are one text."""
    found = [one.type.replace("text_special", "text") for one in tokens(parser, text)]
    return [one for one, after in pairwise([*found, ""]) if (one, after) != ("text", "text")]


def test_a_file_that_is_not_as_pitbench_wrote_it_stays(tmp_path, capsys):
    path = tmp_path / "day.md"
    assert report(path, "Oyster Dock") == 0
    assert report(path, "Oyster Dock") == 0
    assert "in place of the one before" in capsys.readouterr().out
    path.write_text(f"{path.read_text(encoding='utf-8')}softer spring next time\n", encoding="utf-8")
    mine = path.read_bytes()
    assert report(path, "Oyster Dock") == 2
    told = capsys.readouterr()
    assert "is there already" in told.err and "--replace" in told.err and told.err.count("\n") == 1
    assert path.read_bytes() == mine
    assert report(path, "Oyster Dock", "--replace") == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["Saltmouth", "-o", "day.txt"], "day.txt ends neither in .html nor in .md"),
        (["Saltmouth", "-o", "day"], "ends neither"),
        (["Saltmoth", "-o", "day.md"], "did you mean Saltmouth?"),
        (["Saltmouth 2026-05-30", "-o", "day.md"], "No event is called"),
        (["Saltmouth"], "required: -o"),
        (["Saltmouth", "-o", "none/day.md"], "There is no folder none"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_status_2(tmp_path, monkeypatch, capsys, words, said):
    monkeypatch.chdir(tmp_path)
    assert main(["report", *words, "--logbook", str(demo_logbook())]) == 2
    told = capsys.readouterr()
    assert said in told.err and told.err.count("\n") == 1 and told.out == "" and not list(Path().iterdir())


def test_a_logbook_that_is_not_there_makes_nothing(tmp_path, capsys):
    assert report(tmp_path / "day.md", "Saltmouth", logbook=tmp_path / "none.json") == 2
    assert "load" in capsys.readouterr().err and not list(tmp_path.iterdir())


def test_why_nothing_is_ranked_is_said_once(tmp_path):
    (tmp_path / "motors.csv").write_text("motor,class\nHeron,Club\nPlover,Club\n", encoding="utf-8")
    (tmp_path / "events.csv").write_text("event,date\nSaltmouth,2026-03-01\n", encoding="utf-8")
    logbook, path = tmp_path / "logbook.json", tmp_path / "day.md"
    main(["load", str(tmp_path / "motors.csv"), str(tmp_path / "events.csv"), "--logbook", str(logbook)])
    assert report(path, "Saltmouth", logbook=logbook) == 0
    assert path.read_text(encoding="utf-8").count("Nothing to rank yet") == 1


def test_no_caution_is_left_out(page, marked, capsys):
    assert main(["rank", "--json", "--logbook", str(demo_logbook())]) == 0
    doubted = [motor for motor in json.loads(capsys.readouterr().out)["motors"] if motor["flags"] != []]
    for rows, said in (
        (read_html(page).rows, read_html(page).said),
        (read_tables(marked), "".join(one.content for one in tokens(STRICT, marked))),
    ):
        assert len(CAUTIONS) == 5 and all(caution in said for caution in CAUTIONS)
        besides = {row["motor"]: row["besides"] for row in _ranks(rows)[0]}
        for motor in doubted:
            assert all(FLAGS[flag] in besides[motor["motor"]] for flag in motor["flags"])
        assert "in 100 that it passes your limit" in said or "under 1 in 100 over" in said
        incidents = [run["incident"] for run in stored("track_run") if "incident" in run]
        assert incidents and all(f"! {incident}" in said for incident in incidents)
