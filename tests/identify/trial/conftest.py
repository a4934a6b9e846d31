"""The funga and its nature, for all tests of the trial."""

from __future__ import annotations

import pytest

from fruitbody import funga
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.trial.judging import Judge
from fruitbody.identify.trial.nature import Nature


@pytest.fixture(scope="session")
def nature(known: funga.Funga) -> Nature:
    return Nature(known, 4_321)


@pytest.fixture(scope="session")
def judge(known: funga.Funga) -> Judge:
    return Judge(known, Parameters())
