"""The trial ranks as the engine does, and takes kinds out as if no file spoke of them."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from fruitbody.funga.model import Funga
from fruitbody.identify.identify import identify
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.rollup import Proposal
from fruitbody.identify.trial.judging import Judge
from fruitbody.identify.trial.naming import named_right
from fruitbody.identify.trial.nature import Nature
from fruitbody.identify.trial.outside import without, without_taxon
from fruitbody.identify.trial.specimens import Specimen, specimens


def some(nature: Nature, rows: range = range(3, 100, 16)) -> list[Specimen]:
    return [s for row in rows for depth in ("poor", "microscopy") for s in specimens(nature, "R3", depth, row, 1)]


def test_the_trial_states_the_probabilities_that_identify_states(nature: Nature, judge: Judge) -> None:
    for specimen in some(nature):
        told = identify(judge.known, specimen.case, parameters=Parameters())
        verdict = judge.judge(specimen, taken_out=False)
        by_id = {c.id: c.probability for c in told.candidates}
        taxon = judge.index.taxa[specimen.row]
        assert verdict.p_true == pytest.approx(by_id[taxon.id], rel=1e-9)
        assert verdict.p_best == pytest.approx(told.candidates[0].probability, rel=1e-9)
        assert verdict.stranger == pytest.approx(told.none_of_these, rel=1e-9)
        assert verdict.used == told.used
        assert verdict.right == named_right(judge.known, told.proposal, taxon)


def less(known: Funga, taxa: set[str], genera: set[str]) -> Funga:
    """The funga without these taxa and genera."""
    return dataclasses.replace(
        known,
        taxa={i: t for i, t in known.taxa.items() if i not in taxa},
        genera={n: g for n, g in known.genera.items() if n not in genera},
        digest=known.digest + "".join(sorted(taxa)),
    )


def test_a_species_taken_out_leaves_what_a_funga_without_it_would_say(nature: Nature, judge: Judge) -> None:
    rows = [r for r in range(len(judge.index.taxa)) if judge.index.genus_counts[judge.index.genus_of[r]] > 1][:6]
    for row in rows:
        specimen = next(specimens(nature, "R2", "macroscopic", row, 1))
        taxon, genus = judge.index.taxa[row], int(judge.index.genus_of[row])
        prior = judge.prior(specimen.case)
        logs, _, _ = judge.logs(specimen.case)
        ours = judge.posterior_with(without_taxon(prior, row, genus), logs)
        told = identify(less(judge.known, {taxon.id}, set()), specimen.case, parameters=Parameters())
        best = max((p, i) for i, p in zip(judge.known.taxa, ours, strict=False))
        assert best[1] == told.candidates[0].id
        # How constant characters are among relatives is read off the smaller funga too: a little otherwise.
        assert ours[-1] == pytest.approx(told.none_of_these, rel=0.1)
        assert best[0] == pytest.approx(told.candidates[0].probability, rel=0.02)


def test_a_genus_taken_out_leaves_what_a_funga_without_it_would_say(nature: Nature, judge: Judge) -> None:
    for row in (2, 40, 77):
        specimen = next(specimens(nature, "R2", "microscopy", row, 1))
        genus = judge.index.taxa[row].genus
        prior = judge.prior(specimen.case)
        logs, _, _ = judge.logs(specimen.case)
        mask = np.array([name == genus for name in judge.index.genera])
        ours = judge.posterior_with(without(prior, judge.index, mask), logs)
        gone = {i for i, t in judge.known.taxa.items() if t.genus == genus}
        told = identify(less(judge.known, gone, {genus}), specimen.case, parameters=Parameters())
        assert max(ours[: len(judge.known.taxa)]) == pytest.approx(told.candidates[0].probability, rel=0.05)
        assert ours[-1] == pytest.approx(told.none_of_these, rel=0.1)


@pytest.mark.parametrize(
    ("proposal", "right"),
    [
        (Proposal("Amanita phalloides", "species", "", 0.9, "amanita-phalloides"), True),
        (Proposal("Amanita virosa", "species", "", 0.9, "amanita-virosa"), False),
        (Proposal("Amanita cf. virosa", "genus", "cf.", 0.9, "amanita-virosa"), True),
        (Proposal("Amanita sp.", "genus", "sp.", 0.9), True),
        (Proposal("Agaricus sp.", "genus", "sp.", 0.9), False),
        (Proposal("Amanitaceae", "family", "", 0.9), True),
        (Proposal("Agaricus or Amanita", "one of two genera", "", 0.9), True),
        (Proposal("a gilled mushroom, not further", "form", "", 0.9), True),
        (Proposal("a bracket with pores, not further", "form", "", 0.9), False),
        (Proposal("a fungus, not further", "form", "", 0.9), True),
    ],
)
def test_a_proposal_is_judged_at_its_rank(known: Funga, proposal: Proposal, right: bool) -> None:
    assert named_right(known, proposal, known.taxa["amanita-phalloides"]) is right
