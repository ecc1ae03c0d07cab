"""Every reason a load log may give has its words."""

from typing import get_args

import pytest

from pitbench.desk.answers import LeftOut
from pitbench.desk.load.samples import FOUND_BY_FIT
from pitbench.figures.load_log import DoubtCode, Why
from pitbench.words.load_log import LEFT_OUT, WHY


def test_every_reason_has_its_words():
    assert set(WHY) == set(get_args(Why))
    assert set(LEFT_OUT) == set(LeftOut.__dataclass_fields__)


@pytest.mark.parametrize("code", get_args(DoubtCode))
def test_every_doubt_of_the_figures_has_its_words(code):
    what, why = FOUND_BY_FIT[code](1.5)
    assert what and why and code not in why
