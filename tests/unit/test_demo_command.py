"""`pitbench demo`: the weekend's logbook is reproducible, is only ever copied, and never replaces a file."""

import importlib.util
import resource
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from pitbench import bootstrap
from pitbench.__main__ import main
from pitbench.demo import demo_data_folder, demo_logbook


@pytest.fixture
def refused(capsys):
    """Run a command that must be refused: the status and the one sentence."""

    def run(*words: str) -> tuple[int, str]:
        status = main(words)
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1
        return status, err

    return run


def test_the_logbook_is_made_from_the_sheets(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(demo_data_folder())
    spec = importlib.util.spec_from_file_location("make_logbook", demo_data_folder() / "make_logbook.py")
    assert spec and spec.loader
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    maker.write(tmp_path / demo_logbook().name)
    made = (tmp_path / demo_logbook().name).read_bytes()
    assert made == demo_logbook().read_bytes(), "run python demo_data/make_logbook.py and look at what changed"


def test_a_copy_is_a_whole_logbook(tmp_path, capsys):
    target = tmp_path / "mine.json"
    assert main(["demo", "--to", str(target)]) == 0
    assert target.read_bytes() == demo_logbook().read_bytes()
    assert main(["--logbook", str(target), "check"]) == 0
    assert main(["rank", "--logbook", str(target)]) == 0
    assert "Whio" in capsys.readouterr().out


def test_an_existing_file_stays_as_it_is(tmp_path, refused):
    target = tmp_path / "mine.json"
    target.write_text("precious")
    status, sentence = refused("demo", "--to", str(target))
    assert status == 2
    assert str(target) in sentence
    assert target.read_text() == "precious"


def test_a_link_into_nowhere_is_not_followed(tmp_path, refused):
    (tmp_path / "link.json").symlink_to(tmp_path / "elsewhere.json")
    status, _ = refused("demo", "--to", str(tmp_path / "link.json"))
    assert status == 2
    assert not (tmp_path / "elsewhere.json").exists()


def test_places_where_no_file_can_be(tmp_path, refused):
    (tmp_path / "file").write_text("")
    for place in (tmp_path, tmp_path / "no" / "mine.json", tmp_path / "file" / "mine.json"):
        status, sentence = refused("demo", "--to", str(place))
        assert status == 2
        assert str(tmp_path) in sentence


def test_a_folder_without_the_right_to_write(tmp_path, refused, monkeypatch):
    def forbidden(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", forbidden)
    monkeypatch.setattr(Path, "read_bytes", lambda _: b"{}")
    status, sentence = refused("demo", "--to", str(tmp_path / "mine.json"))
    assert status == 2
    assert f"{tmp_path} may not be written" in sentence


def test_a_disk_that_is_full_leaves_no_half_file(tmp_path):
    """The system itself refuses the write: no file may grow beyond 1,000 bytes."""
    done = subprocess.run(
        [sys.executable, "-m", "pitbench", "demo", "--to", str(tmp_path / "mine.json")],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000)),
        env={"PATH": "", "HOME": str(tmp_path), "PYTHONDONTWRITEBYTECODE": "1"},
        cwd=demo_data_folder().parent,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert "mine.json was not written (file too large)" in done.stderr
    assert done.stderr.count("\n") == 1
    assert not (tmp_path / "mine.json").exists()


def test_the_app_opens_on_a_copy_that_is_gone_afterwards(monkeypatch):
    before, seen = demo_logbook().read_bytes(), []

    def run_app(path: Path, demo: bool = False) -> int:
        assert demo  # the screens say so
        seen.append(path)
        assert path.read_bytes() == before
        path.write_text("changed in the app")
        return 0

    monkeypatch.setattr(bootstrap, "run_app", run_app)
    assert main(["demo"]) == 0
    assert not seen[0].exists()
    assert not seen[0].parent.exists()
    assert demo_logbook().read_bytes() == before


def test_an_installed_package_finds_what_it_carries(tmp_path):
    """The layout a wheel has: the demo data inside the package, no checkout around it."""
    package = tmp_path / "pitbench"
    (package / "demo_data").mkdir(parents=True)
    (package / "__init__.py").write_text("")
    shutil.copy(Path(bootstrap.__file__).with_name("demo.py"), package)
    done = subprocess.run(
        [sys.executable, "-c", "from pitbench.demo import demo_data_folder as f; print(f())"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert Path(done.stdout.strip()) == package / "demo_data"
