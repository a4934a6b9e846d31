"""The peers see the same table, and are what they are called."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from fruitbody.examine.finding import Finding, Measured
from fruitbody.funga.model import Funga
from fruitbody.identify.compile import model_of
from fruitbody.identify.identify import Case
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import Model
from fruitbody.identify.trial.nature import Nature
from fruitbody.identify.trial.peers import Columns, NaiveBayes, Nearest, columns_of, encode
from fruitbody.identify.trial.record import peers
from fruitbody.identify.trial.run import Found
from fruitbody.identify.trial.specimens import specimens


@pytest.fixture(scope="module")
def model(known: Funga) -> Model:
    return model_of(known, Parameters())


@pytest.fixture(scope="module")
def columns(model: Model) -> Columns:
    return columns_of(model)


def test_what_was_not_observed_is_no_number(model: Model, columns: Columns) -> None:
    case = Case(
        (
            Finding("ring", states=("hanging",)),
            Finding("cap_surface", states=("scaly",), each=True),
            Finding("cap_width", measured=Measured(40, 90)),
        )
    )
    row = encode(model, columns, case)
    said = {name: value for name, value in zip(columns.names, row, strict=True) if not np.isnan(value)}
    assert said["ring", -1] == model.tables["ring"].states.index("hanging")  # type: ignore[union-attr]
    assert said["cap_width", -1] == pytest.approx(np.log(60))
    assert sum(value for (name, _), value in said.items() if name == "cap_surface") == 1
    assert {name for name, _ in said} == {"ring", "cap_surface", "cap_width"}


def test_naive_bayes_without_findings_states_the_prior(model: Model, columns: Columns) -> None:
    prior = np.random.default_rng(1).dirichlet(np.ones(model.n_taxa))[None, :]
    nothing = np.full((1, len(columns.names)), np.nan)
    assert NaiveBayes(model, columns).probabilities(nothing, prior) == pytest.approx(prior)


def test_the_typical_specimen_of_a_taxon_is_its_own_nearest(model: Model, columns: Columns) -> None:
    nearest = Nearest(model, columns)
    distances = nearest.distances(nearest.library[:5])
    assert distances[np.arange(5), np.arange(5)] == pytest.approx(0, abs=1e-6)
    assert (distances.min(axis=1) >= 0).all()


def test_a_distance_is_gowers_mean_over_the_columns_that_were_observed(model: Model, columns: Columns) -> None:
    nearest = Nearest(model, columns)
    row = np.full((1, len(columns.names)), np.nan)
    form, ring = columns.names.index(("form", -1)), columns.names.index(("ring", -1))
    row[0, [form, ring]] = nearest.library[0, [form, ring]]
    differ = (nearest.library[:, [form, ring]] != row[0, [form, ring]]).mean(axis=1)
    assert nearest.distances(row)[0] == pytest.approx(differ, abs=1e-6)


def test_both_peers_find_most_specimens_at_the_bench_among_the_first_ten(
    nature: Nature, model: Model, columns: Columns
) -> None:
    drawn = [s for row in range(0, model.n_taxa, 9) for s in specimens(nature, "R1", "microscopy", row, 1)]
    rows = np.array([s.row for s in drawn])
    table = np.array([encode(model, columns, s.case) for s in drawn])
    flat = np.full((len(drawn), model.n_taxa), 1 / model.n_taxa)
    for score in (NaiveBayes(model, columns).probabilities(table, flat), -Nearest(model, columns).distances(table)):
        place = (score >= score[np.arange(rows.size), rows][:, None]).sum(axis=1)
        assert np.mean(place <= 10) > 0.7


def test_without_the_peers_libraries_a_sentence_says_what_to_install(
    known: Funga, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sklearn.naive_bayes", None)
    found = peers(known, Parameters(), {("R2", "poor"): Found()})
    assert "pip install scikit-learn gower" in found["peers_missing"]
