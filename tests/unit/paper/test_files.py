"""What paper may be written over, and that it is written whole or not at all."""

import pytest

from pitbench import disk
from pitbench.paper.document import Document
from pitbench.paper.files import Taken, as_text, form_of, must_be_free, write
from pitbench.records.refusal import Refusal

DAY = Document("Race day: Saltmouth", ["clay"], ["Whio leads."], [], ["± nine in ten."])


@pytest.fixture
def logbook(tmp_path):
    path = tmp_path / "logbook.json"
    path.write_bytes(b"{}")
    return path


@pytest.mark.parametrize(
    ("name", "form"), [("a.html", ".html"), ("a.md", ".md"), ("A.HTML", ".html"), ("a.b.md", ".md")]
)
def test_the_ending_says_which_form(tmp_path, name, form):
    assert form_of(tmp_path / name) == form


@pytest.mark.parametrize("name", ["a.txt", "a", "md", "a.htm", "a.html.bak", ".md"])
def test_any_other_ending_is_refused(tmp_path, name):
    with pytest.raises(Refusal, match=r"ends neither in \.html nor in \.md") as refused:
        form_of(tmp_path / name)
    assert refused.value.status == 2


@pytest.mark.parametrize("form", [".html", ".md"])
def test_paper_nobody_touched_is_written_anew(tmp_path, logbook, form):
    path = tmp_path / f"day{form}"
    assert must_be_free(path, logbook) is False
    write(path, as_text(DAY, form))
    first = path.read_bytes()
    assert must_be_free(path, logbook) is True
    write(path, as_text(DAY, form))
    assert path.read_bytes() == first
    assert sorted(each.name for each in tmp_path.iterdir()) == [path.name, "logbook.json"]


@pytest.mark.parametrize("form", [".html", ".md"])
@pytest.mark.parametrize(
    "spoil", [lambda text: text + "softer spring", lambda text: text.replace("clay", "clay!"), str.upper]
)
def test_paper_with_somebody_s_notes_stays_until_somebody_says_so(tmp_path, logbook, form, spoil):
    path = tmp_path / f"day{form}"
    path.write_text(spoil(as_text(DAY, form)), encoding="utf-8")
    with pytest.raises(Taken, match="is there already"):
        must_be_free(path, logbook)
    assert must_be_free(path, logbook, replace=True) is True


@pytest.mark.parametrize("content", [b"", b"my notes\n", b"\xff\xfe\x00", b"<!-- pitbench 0123456789abcdef -->\n"])
def test_any_other_file_stays(tmp_path, logbook, content):
    path = tmp_path / "notes.md"
    path.write_bytes(content)
    with pytest.raises(Taken):
        must_be_free(path, logbook)


def test_a_folder_and_the_logbook_itself_are_never_written_over(tmp_path):
    folder, book = tmp_path / "a.md", tmp_path / "b.md"
    folder.mkdir()
    book.write_bytes(b"{}")
    (tmp_path / "link.md").symlink_to(book)
    for path, said in (
        (folder, "is a folder"),
        (book, "is the logbook itself"),
        (tmp_path / "link.md", "logbook itself"),
    ):
        with pytest.raises(Refusal, match=said):
            must_be_free(path, book, replace=True)


def test_where_there_is_no_folder_nothing_is_made(tmp_path):
    with pytest.raises(Refusal, match="There is no folder"):
        write(tmp_path / "none" / "a.md", "x")
    assert list(tmp_path.iterdir()) == []


def test_a_link_is_followed_and_stays(tmp_path):
    (tmp_path / "real.md").write_text("old")
    (tmp_path / "link.md").symlink_to(tmp_path / "real.md")
    write(tmp_path / "link.md", "new")
    assert (tmp_path / "link.md").is_symlink() and (tmp_path / "real.md").read_text() == "new"


def test_a_disk_that_fills_leaves_what_stood_there(tmp_path, monkeypatch):
    path = tmp_path / "a.md"
    path.write_text("old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk.os, "write", full)
    with pytest.raises(Refusal, match="no space left on device") as refused:
        write(path, "new")
    assert refused.value.status == 1 and path.read_text() == "old" and list(tmp_path.iterdir()) == [path]
