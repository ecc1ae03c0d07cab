"""The answers' models: frozen, with exactly the keys other programs rely on. Unknown is None, never 0, NaN or absent.

Screens and commands word these; nothing computed is added on the way. One file a question; all are taken from here.
"""

from pitbench.desk.answers.changes import Change, ChangeOnBench, ChangeOnTrack, ChangesAnswer, Judged
from pitbench.desk.answers.compare import CompareAnswer, Difference, FigureBeside, RunRead, SideBySide
from pitbench.desk.answers.forecast import ForecastAnswer, ForecastBasis, Temperatures
from pitbench.desk.answers.link import LinkAnswer, LinkedFigure, LinkPage, WeightOffer
from pitbench.desk.answers.load_log import FullThrottle, LeftOut, LoadLogAnswer, LogDoubt, MeanSe, Warming
from pitbench.desk.answers.logbook import CheckAnswer, LoadAnswer, LoadedFile, Suspect
from pitbench.desk.answers.parts import BuildChance, BuildToTest, Move, PartsAnswer, PartWorth, SwapAdvice, SwapsAnswer
from pitbench.desk.answers.ranking import (
    Basis,
    BenchLead,
    FigureBasis,
    FigureOf,
    NextTest,
    NotRanked,
    OddRun,
    RankAnswer,
    RankedMotor,
    Settle,
    Why,
    WouldTell,
)
from pitbench.desk.answers.shared import Spread, plain

__all__ = [
    "Basis",
    "BenchLead",
    "BuildChance",
    "BuildToTest",
    "Change",
    "ChangeOnBench",
    "ChangeOnTrack",
    "ChangesAnswer",
    "CheckAnswer",
    "CompareAnswer",
    "Difference",
    "FigureBasis",
    "FigureBeside",
    "FigureOf",
    "ForecastAnswer",
    "ForecastBasis",
    "FullThrottle",
    "Judged",
    "LeftOut",
    "LinkAnswer",
    "LinkPage",
    "LinkedFigure",
    "LoadAnswer",
    "LoadLogAnswer",
    "LoadedFile",
    "LogDoubt",
    "MeanSe",
    "Move",
    "NextTest",
    "NotRanked",
    "OddRun",
    "PartWorth",
    "PartsAnswer",
    "RankAnswer",
    "RankedMotor",
    "RunRead",
    "Settle",
    "SideBySide",
    "Spread",
    "Suspect",
    "SwapAdvice",
    "SwapsAnswer",
    "Temperatures",
    "Warming",
    "WeightOffer",
    "Why",
    "WouldTell",
    "plain",
]
