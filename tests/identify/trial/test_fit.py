"""The committed fit is the fit of this funga, to the digit."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from fruitbody.funga.model import Funga
from fruitbody.funga.science import science_digest
from fruitbody.identify.parameters import Parameters, fitted, read_fit
from fruitbody.identify.trial import fitted_file, fitting
from fruitbody.identify.trial.seeds import TRAINING, TRIAL

STALE = "The funga has changed since the fit: run “fruitbody fit”, then “fruitbody evaluate”, and keep both files."


def test_the_fit_belongs_to_this_funga(known: Funga) -> None:
    assert read_fit()["funga"] == science_digest(known), STALE


def test_a_refit_gives_the_committed_values_to_one_part_in_a_million(known: Funga) -> None:
    if read_fit()["funga"] != science_digest(known):
        pytest.fail(STALE)
    assert fitted_file.values(known) == pytest.approx(read_fit()["values"], rel=1e-6)


def test_the_engine_uses_the_fitted_values() -> None:
    values = read_fit()["values"]
    assert {name: getattr(fitted(), name) for name in values} == values
    assert set(values) == {knob.name for knob in fitting.KNOBS}


def test_every_fitted_value_lies_within_its_interval() -> None:
    for name, (low, high) in read_fit()["intervals"].items():
        assert low <= read_fit()["values"][name] <= high


def test_what_is_not_fitted_keeps_its_start_value() -> None:
    names = {knob.name for knob in fitting.KNOBS}
    for field in dataclasses.fields(Parameters):
        if field.name not in names:
            assert getattr(fitted(), field.name) == field.default


def test_a_genus_is_held_out_whole_and_every_case_once(known: Funga) -> None:
    data = fitting.training(known, per_cell=20)
    folds = fitting.folds(data)
    assert np.sum(folds, axis=0).tolist() == [1] * len(data.cases)
    genus = [known.taxa[list(known.taxa)[specimen.row]].genus for specimen, _ in data.cases]
    homes = {name: {fold for fold in range(len(folds)) if folds[fold][i]} for i, name in enumerate(genus)}
    assert all(len(home) == 1 for home in homes.values())


def test_the_held_out_score_of_every_fold_is_kept() -> None:
    assert len(read_fit()["fold"]) == fitting.FOLDS
    assert sum(fold["held_out"] for fold in read_fit()["fold"]) == read_fit()["specimens"]


def test_training_and_trial_have_other_seeds() -> None:
    assert read_fit()["seed"] == TRAINING != TRIAL


def test_knobs_go_to_their_line_and_back() -> None:
    assert dataclasses.asdict(fitting.parameters_at(fitting.start())) == pytest.approx(dataclasses.asdict(Parameters()))
