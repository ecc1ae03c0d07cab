"""The rooms: who may import whom, and what is loaded when the first frame stands."""

import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import grimp
import pytest

from pitbench.app.routes import ROUTES

TOP = Path(__file__).parents[2]
CONTRACTS = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
ROOMS = {path.parent.name for path in TOP.glob("pitbench/*/__init__.py")}
RUN_TIME = {
    "numpy", "platformdirs", "pydantic", "pydantic_core", "rich", "textual", "textual_plot", "tinydb",
}  # fmt: skip
MAY_IMPORT = {
    "figures": {"numpy"},
    "records": {"pydantic"},
    "store": {"records", "tinydb", "pydantic_core", "platformdirs"},
    "sheets": {"records", "numpy"},
    "desk": {"figures", "numpy", "records", "sheets"},  # and the store's logbook, an exception in the contract
    "words": {"records"},  # and the desk's answers, an exception in the contract
    "paper": {"words", "records"},
    "commands": {"desk", "words", "paper", "sheets", "records", "bootstrap"},
    "app": {"desk", "words", "paper", "records", "textual", "rich", "textual_plot", "platformdirs"},
}
HEAVY = ("numpy", "pydantic.main", "tinydb", "textual_plot", "scipy", "statsmodels")

FIRST_FRAME = """
import json, sys
from pitbench import bootstrap
from pitbench.__main__ import main
from pitbench.app.app import PitbenchApp

bootstrap.has_terminal = lambda: True

def first_frame(self, *args):
    text = "".join(segment.text for line in self.screen._compositor.render_strips() for segment in line)
    self.exit()
    seen.update(text=text, loaded=sorted(sys.modules), screen=type(self.screen).__name__)

seen = {}
PitbenchApp.open_file = first_frame  # what the app calls once its first frame is painted
status = main(["--logbook", sys.argv[1]])
print("\\n" + json.dumps({**seen, "status": status}))
"""


def linted(config: Path) -> subprocess.CompletedProcess[str]:
    words = [sys.executable, "-c", "from importlinter.cli import lint_imports_command as run; run()"]
    return subprocess.run(
        [*words, "--no-cache", "--no-logo", "--config", str(config)], cwd=TOP, capture_output=True, text=True
    )


def test_the_import_contracts_are_kept():
    done = linted(TOP / "pyproject.toml")
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"Contracts: {len(CONTRACTS)} kept, 0 broken." in done.stdout


def test_a_broken_contract_is_noticed(tmp_path):
    """The bootstrap does import the store: a contract against that must be found broken."""
    config = tmp_path / "contracts.ini"
    config.write_text(
        "[importlinter]\nroot_package = pitbench\n[importlinter:contract:1]\nname = no logbook\ntype = forbidden\n"
        "source_modules = pitbench.bootstrap\nforbidden_modules = pitbench.store\n",
        encoding="utf-8",
    )
    done = linted(config)
    assert done.returncode == 1
    assert "1 broken" in done.stdout


@pytest.mark.parametrize("room", sorted(ROOMS))
def test_every_room_has_a_contract_that_forbids_all_it_may_not_import(room):
    (contract,) = [one for one in CONTRACTS if one.get("source_modules") == [f"pitbench.{room}"]]
    inside = {f"pitbench.{other}" for other in ({*ROOMS, "bootstrap"} - {room} - MAY_IMPORT[room])}
    needed = inside | (RUN_TIME - MAY_IMPORT[room])
    assert needed <= set(contract["forbidden_modules"])
    assert contract["allow_indirect_imports"] is True


def test_every_screen_with_a_route_may_be_imported_by_nobody():
    (contract,) = [one for one in CONTRACTS if one["type"] == "protected"]
    assert set(contract["protected_modules"]) == {f"pitbench.app.{way.rpartition('.')[0]}" for way in ROUTES.values()}
    assert contract["allowed_importers"] == []


def test_no_library_is_used_beyond_those_installed_at_run_time():
    graph = grimp.build_graph("pitbench", include_external_packages=True, cache_dir=None)
    outside = {module for module in graph.modules if not module.startswith("pitbench")}
    used = {module for module in outside if module not in sys.stdlib_module_names}
    assert used <= RUN_TIME
    assert "textual" in used


def test_nothing_heavy_is_loaded_before_the_first_frame(tmp_path):
    """Measured on the way a user starts: the command line, the real wiring, a terminal without a screen."""
    homes = {name: str(tmp_path) for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")}
    done = subprocess.run(
        [sys.executable, "-c", FIRST_FRAME, str(tmp_path / "logbook.json")],
        env={**os.environ, **homes, "TEXTUAL_DRIVER": "textual.drivers.headless_driver:HeadlessDriver"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    seen = json.loads(done.stdout.splitlines()[-1])
    assert seen["status"] == 0
    assert seen["screen"] == "MotorsScreen"
    assert "pitbench" in seen["text"], "a frame was painted"
    assert [module for module in HEAVY if module in seen["loaded"]] == []
