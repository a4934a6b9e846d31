"""Plain colours and print colours as soft evidence, and what the engine makes of it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from fruitbody import funga
from fruitbody.examine.colour.correction import by_white
from fruitbody.examine.colour.patch import Disc, Measured, measure, sample
from fruitbody.examine.colour.plain import plain_of, print_colours, soft_of
from fruitbody.examine.colour.spaces import ColourError, srgb_of_lab
from fruitbody.examine.finding import Finding, SeenOn, Soft
from fruitbody.identify import Case, identify

KNOWN = funga.load()
CAP, DEPOSIT = KNOWN.characters["cap_colour"], KNOWN.characters["deposit_colour"]


def on_paper(lab: tuple[float, float, float], *, flat: bool = False) -> Measured:
    """A photo of a patch of this colour, corrected by white paper beside it."""
    picture = np.full((60, 120, 3), srgb_of_lab(lab), dtype=np.uint8)
    picture[:, 60:] = srgb_of_lab((94, 0, 1))
    return measure(picture, Disc(30, 30, 20), by_white(sample(picture, Disc(90, 30, 20))), flat=flat)


@pytest.mark.parametrize("state", CAP.states, ids=lambda state: state.id)
def test_the_centre_of_a_class_is_called_by_its_name(state: funga.model.State) -> None:
    assert state.lab is not None
    found = plain_of(CAP, state.lab)
    assert found.best == state.id
    assert found.distance == pytest.approx(0)


def test_shares_add_up_and_come_largest_first() -> None:
    shares = list(plain_of(CAP, (55, 19, 42)).shares.values())
    assert sum(shares) == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)


def test_shares_are_normal_densities_with_the_doubt_added() -> None:
    """Outside check: SciPy's multivariate normal."""
    lab, doubt = (60.0, 12.0, 30.0), np.array([[30.0, 8, 12], [8, 9, 4], [12, 4, 16]])
    density = {
        s.id: multivariate_normal(s.lab, np.diag(np.square(s.spread)) + doubt).pdf(lab) for s in CAP.states if s.spread
    }
    found = plain_of(CAP, lab, doubt).shares
    for state, value in density.items():
        assert found[state] == pytest.approx(value / sum(density.values()), rel=1e-9)


def test_more_doubt_spreads_the_shares() -> None:
    sure, unsure = plain_of(CAP, (43, 13, 24)), plain_of(CAP, (43, 13, 24), 225 * np.eye(3))
    assert sure.best == "brown"
    assert max(unsure.shares.values()) < max(sure.shares.values())


def test_a_colour_no_fungus_of_the_funga_has_is_said_not_to_fit() -> None:
    assert plain_of(CAP, (60, 95, -60)).fits is False
    assert plain_of(CAP, (43, 13, 24)).fits is True


def test_every_print_colour_of_the_funga_has_a_centre_and_is_called_by_its_name() -> None:
    for state in DEPOSIT.state_ids:
        alone = plain_of(DEPOSIT, centre_of(state))
        assert alone.best == state


def centre_of(state: str) -> tuple[float, float, float]:
    return print_colours()[state][0]


def test_prints_darken_from_white_to_black_in_the_order_of_the_books() -> None:
    order = ("white", "cream", "ochre", "clay", "rust", "chocolate", "purple-brown", "black")
    lightness = [centre_of(state)[0] for state in order]
    assert lightness == sorted(lightness, reverse=True)


def test_a_character_without_colours_is_refused() -> None:
    with pytest.raises(ColourError, match="are no colours"):
        plain_of(KNOWN.characters["spore_shape"], (50, 0, 0))


# What the engine makes of it


def strongest(soft: Soft, state: str) -> tuple[float, float]:
    """Decibans that the soft finding, and the clinic's word for the same state, speak most strongly for any taxon."""
    photographed = Finding(CAP.id, soft=soft, seen_on=SeenOn.PHOTO)
    found = []
    for finding in (photographed, Finding(CAP.id, states=(state,))):
        ranked = identify(KNOWN, Case((finding,))).candidates
        found.append(max((w.decibans for c in ranked for w in c.evidence if w.character == CAP.id), default=0.0))
    return found[0], found[1]


@pytest.mark.parametrize("state", ["white", "yellow", "red", "brown", "olive", "grey"])
def test_a_photos_colour_says_something_but_less_than_a_trained_eyes_word(state: str) -> None:
    (centre,) = [s.lab for s in CAP.states if s.id == state]
    assert centre is not None
    photographed, word = strongest(soft_of(CAP, on_paper(centre)), state)
    assert 0 < photographed < word


def test_of_a_cap_the_value_and_its_doubt_go_into_the_finding() -> None:
    found = on_paper((43, 13, 24))
    assert soft_of(CAP, found) == Soft(lab=found.lab, lab_uncertainty=found.u)


def test_of_a_print_shares_go_into_the_finding_with_even_training_shares() -> None:
    soft = soft_of(DEPOSIT, on_paper((28, 12, 12), flat=True))
    assert max(soft.shares, key=lambda state: soft.shares[state]) == "chocolate"
    assert list(soft.trained_on.values()) == pytest.approx([1 / len(DEPOSIT.states)] * len(DEPOSIT.states))
    assert sum(soft.shares.values()) == pytest.approx(1)


def test_the_shares_and_the_value_say_the_same_to_the_engine() -> None:
    """Two ways in: where the doubt is alike on all axes, evidence from shares is that from the value itself."""
    lab, u = (52.0, 18.0, 30.0), 5.0
    ways = (Soft(lab=lab, lab_uncertainty=u), plain_of(CAP, lab, u**2 * np.eye(3)).soft)
    first, second = (
        {c.id: c.probability for c in identify(KNOWN, Case((Finding(CAP.id, soft=soft),))).candidates} for soft in ways
    )
    assert first == pytest.approx(second, rel=1e-6)


def test_a_photographed_print_excludes_nothing() -> None:
    soft = soft_of(DEPOSIT, on_paper((15, 1, 0), flat=True))
    finding = Finding(DEPOSIT.id, soft=soft, seen_on=SeenOn.PHOTO, part="print", fruit_body="a")
    assert identify(KNOWN, Case((finding,), fruit_bodies=1)).excluded == ()
