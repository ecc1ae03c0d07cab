"""The page on the file format shows a logbook pitbench takes, and says what the code does."""

import json
import re
from pathlib import Path

from pitbench.records.models import MODELS
from pitbench.store import backups, changes, migrations
from pitbench.store.logbook import Logbook

PAGE = Path(__file__).parents[2] / "docs" / "file-format.md"


def test_the_example_is_a_logbook(tmp_path):
    example = re.search(r"```json\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL).group(1)
    path = tmp_path / "logbook.json"
    path.write_text(example, encoding="utf-8")
    with Logbook.open(path, accept_hand_edit=True) as logbook:
        assert logbook.journal.undo() == "bench run of Heron"
        assert logbook.journal.undo() == "added Heron"
        assert logbook.rows("motor") == []
    assert json.loads(path.read_bytes())["pitbench"]["logbook"]["schema"] == migrations.SCHEMA


def test_the_page_names_every_kind_and_the_numbers_of_the_code():
    page = " ".join(PAGE.read_text(encoding="utf-8").split())
    assert f"**{', '.join(MODELS)}**" in page
    assert f"the last {changes.KEPT} actions" in page
    assert f"the last {backups.LAST_SAVES} saves, the last state of each of {backups.DAYS} days" in page
