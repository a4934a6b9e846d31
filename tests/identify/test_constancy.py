"""How far relatives depart from one another, character by character, read off the funga."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.funga.model import Funga, MeasureScore, StateScore, Taxon
from fruitbody.identify.compile import compile_model
from fruitbody.identify.constancy import LEAST, MOST, USUAL
from fruitbody.identify.outside import blurred_logs, blurs_of
from fruitbody.identify.parameters import Parameters


def kin(known: Funga, *taxa: Taxon) -> dict[str, tuple[float, float]]:
    named = {f"t{i}": replace(t, id=f"t{i}") for i, t in enumerate(taxa)}
    return dict(
        compile_model(replace(known, taxa=named, digest=f"kin {hash(str([t.scores for t in taxa]))}"), Parameters()).kin
    )


def taxon(known: Funga, genus: str, *, deposit: str, length: float = 8.0) -> Taxon:
    scores = {
        ("deposit_colour", ""): StateScore(mostly=(deposit,)),
        ("spore_length", ""): MeasureScore(length * 0.9, length * 1.1),
    }
    base = known.taxa["amanita-phalloides"]
    return replace(base, genus=genus, name=f"{genus} sp.", family="Exemplaceae", scores=scores)


def test_what_hardly_differs_within_a_genus_of_the_funga_is_lower_than_what_nearly_always_may(known: Funga) -> None:
    found = compile_model(known, Parameters()).kin
    steady = max(found[name][0] for name in ("hymenium", "form", "spore_cell", "deposit_colour"))
    assert steady < min(found[name][0] for name in ("cap_colour", "stem_colour", "host"))


def test_a_kind_of_another_genus_is_never_thought_closer_than_one_of_the_same(known: Funga) -> None:
    assert all(within <= across for within, across in compile_model(known, Parameters()).kin.values())


def test_a_genus_that_agrees_lowers_it_and_one_that_does_not_raises_it(known: Funga) -> None:
    same = kin(known, *(taxon(known, "Alba", deposit="white") for _ in range(12)))
    colours = (
        "white",
        "pink",
        "rust",
        "black",
        "green",
        "clay",
        "ochre",
        "tobacco",
        "chocolate",
        "olive",
        "lilac",
        "cream",
    )
    different = kin(known, *(taxon(known, "Varia", deposit=colour) for colour in colours))
    assert same["deposit_colour"][0] < USUAL < different["deposit_colour"][0]


def test_sizes_that_agree_lower_it_and_sizes_far_apart_raise_it(known: Funga) -> None:
    same = kin(known, *(taxon(known, "Aequa", deposit="white", length=8.0) for _ in range(12)))
    wide = kin(known, *(taxon(known, "Varia", deposit="white", length=4.0 * 1.3**i) for i in range(12)))
    assert same["spore_length"][0] < USUAL < wide["spore_length"][0]


def test_without_relatives_it_is_the_usual_one(known: Funga) -> None:
    lone = kin(known, *(replace(taxon(known, f"Genus{i}", deposit="white"), family=f"Family{i}") for i in range(4)))
    assert lone["deposit_colour"] == pytest.approx((USUAL, USUAL))


@given(blur=st.floats(0.05, 0.9))
def test_the_two_parameters_shift_all_of_them_and_leave_them_at_the_usual_value(known: Funga, blur: float) -> None:
    model = compile_model(known, Parameters())
    names = list(model.kin)
    asked, _ = blurs_of(model, replace(Parameters(), relative_blur=blur), names)
    own = np.array([model.kin[name][0] for name in names])
    assert np.all((asked > own) == (blur > USUAL))
    np.testing.assert_allclose(blurs_of(model, Parameters(), names)[0], own, rtol=1e-12)


@given(steps=st.lists(st.floats(-20, 8), min_size=1, max_size=6), blur=st.floats(LEAST, MOST))
def test_one_blur_for_all_findings_is_the_same_as_one_each(steps: list[float], blur: float) -> None:
    column = np.array(steps)[:, None]
    np.testing.assert_allclose(blurred_logs(column, blur), blurred_logs(column, np.full(len(steps), blur)))


def test_the_blend_is_the_mixture_of_following_and_not(known: Funga) -> None:
    ratios = np.array([3.0, 0.02])
    by_hand = np.log((0.9 * 3.0 + 0.1) * (0.2 * 0.02 + 0.8))
    assert blurred_logs(np.log(ratios)[:, None], np.array([0.1, 0.8]))[0] == pytest.approx(by_hand)
