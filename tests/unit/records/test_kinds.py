"""Kinds by name and the models agree."""

from pitbench.records.kinds import KINDS, kind_of, model_of
from pitbench.records.models import MODELS, Motor


def test_kinds_are_those_of_the_models():
    assert tuple(MODELS) == KINDS
    assert model_of("motor") is Motor
    assert kind_of(Motor(name="Whio")) == "motor"
