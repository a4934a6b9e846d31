"""Typed codes of colour charts."""

from __future__ import annotations

from itertools import pairwise

import pytest

from fruitbody import funga
from fruitbody.examine.colour.charts import CHARTS, CRAWSHAY, ROMAGNESI, parse_code
from fruitbody.examine.colour.spaces import ColourError


@pytest.mark.parametrize(
    ("chart", "typed", "edition", "kept"),
    [
        ("ridgway", "Cinnamon", "1912", "cinnamon"),
        ("ridgway", "Payne's grey", "1912", "payne's gray"),
        ("ridgway", "XXIX 15''k", "1912", "XXIX 15''k"),
        ("ridgway", "Plate XXIX, 15″k", "Ridgway 1912", "XXIX 15''k"),
        ("ridgway", "LIII CG 7", "1912", "LIII CG 7"),
        ("ridgway", "umber", "1886", "umber"),
        ("methuen", "6d5", "1978", "6D5"),
        ("methuen", "28 A-B 3–4", "1967", "28A-B3-4"),
        ("munsell", "10yr6/4", "soil", "10YR 6/4"),
        ("munsell", "7.5 R 3.5 / 2", "Book of Color", "7.5R 3.5/2"),
        ("munsell", "N5", "soil", "N 5/"),
        ("crawshay", "d", "", "D"),
        ("crawshay", "C-D", "", "C-D"),
        ("romagnesi", "iiib", "", "IIIb"),
        ("romagnesi", "IVC", "Romagnesi 1967", "IVc"),
        ("RHS", "164B", "5th edition", "164B"),
    ],
)
def test_a_good_code_is_kept_in_one_spelling(chart: str, typed: str, edition: str, kept: str) -> None:
    assert parse_code(chart, typed, edition).text == kept


@pytest.mark.parametrize(
    ("chart", "typed", "edition", "words"),
    [
        ("ridgway", "cinamon", "1912", "near it lies cinnamon"),
        ("ridgway", "XXIX 90''k", "1912", "no plate of 1912"),
        ("ridgway", "cinnamon", "", "Name the edition: Ridgway 1912, Ridgway 1886"),
        ("ridgway", "cinnamon", "1899", "none of its editions"),
        ("methuen", "31D5", "1978", "from 1 to 30"),
        ("methuen", "6G5", "1978", "Type it like this: 6D5"),
        ("methuen", "6D9", "1978", "Type it like this"),
        ("methuen", "6D5-3", "1978", "backwards"),
        ("munsell", "11YR 6/4", "soil", "above 0 to 10"),
        ("munsell", "10YR 12/4", "soil", "value runs from 0 to 10"),
        ("munsell", "5X 3/2", "soil", "Type it like this: 10YR 6/4"),
        ("munsell", "5R 5/60", "soil", "chroma above 40"),
        ("crawshay", "I", "", "steps are A to H"),
        ("crawshay", "D-B", "", "backwards"),
        ("romagnesi", "Vc", "", "steps are Ia to IVe"),
        ("romagnesi", "Ic", "", "steps are Ia to IVe"),
        ("crawshay", "  ", "", "code is empty"),
        ("RHS", "164B", "", "which edition"),
    ],
)
def test_a_bad_code_is_answered_with_a_sentence(chart: str, typed: str, edition: str, words: str) -> None:
    with pytest.raises(ColourError, match=words) as caught:
        parse_code(chart, typed, edition)
    assert str(caught.value).endswith((".", "?"))


def test_every_known_chart_reads_its_own_example() -> None:
    for chart in CHARTS.values():
        first = chart.example.split(", or")[0]
        assert parse_code(chart.id, first, chart.editions[0]).edition == chart.editions[0]


def test_a_code_says_that_nobody_measured() -> None:
    assert parse_code("romagnesi", "IIIb").in_words == "IIIb (Romagnesi 1967; code typed, not measured)"


@pytest.mark.parametrize(("chart", "steps"), [("crawshay", CRAWSHAY), ("romagnesi", ROMAGNESI)])
def test_russula_prints_go_from_white_over_cream_to_ochre_in_order(chart: str, steps: tuple[str, ...]) -> None:
    """From memory, and said so in the code itself."""
    order = ("white", "cream", "ochre")
    found = [parse_code(chart, step) for step in steps]
    assert (found[0].deposit, found[-1].deposit) == (("white",), ("ochre",))
    for one, other in pairwise(found):
        assert order.index(one.deposit[-1]) <= order.index(other.deposit[0]) or one.deposit == other.deposit
    assert {one.basis for one in found} == {"from memory"}


def test_their_states_are_states_of_the_funga() -> None:
    states = set(funga.load().characters["deposit_colour"].state_ids)
    assert {state for step in ROMAGNESI for state in parse_code("romagnesi", step).deposit} <= states
    assert {state for step in CRAWSHAY for state in parse_code("crawshay", step).deposit} <= states


def test_a_range_leaves_all_its_states_open() -> None:
    code = parse_code("romagnesi", "IIc-IIIb")
    assert (code.steps, code.deposit) == (("IIc", "IIIb"), ("cream", "ochre"))


@pytest.mark.parametrize(
    ("chart", "typed", "edition"), [("munsell", "10YR 6/4", "soil"), ("ridgway", "cinnamon", "1912")]
)
def test_a_chart_without_a_known_counterpart_leads_to_no_state(chart: str, typed: str, edition: str) -> None:
    code = parse_code(chart, typed, edition)
    assert (code.deposit, code.basis, code.steps) == ((), "", ())
