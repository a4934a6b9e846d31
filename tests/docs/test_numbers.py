"""Every number on docs/identify.md that the code or a test also holds: parameters, constants, both worked checks."""

from __future__ import annotations

import ast
import dataclasses
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from fruitbody import funga
from fruitbody.funga.weights import MARK_CHANCES, UNLISTED_MARK, WEIGHTS
from fruitbody.identify import Parameters
from fruitbody.identify.likelihood import STAGE_PRIOR
from fruitbody.identify.measures import Z95
from tests.docs.pages import page, row, rows, section
from tests.identify import test_worked_checks as checks
from tests.identify import worked

KNOWN = funga.load()


@pytest.mark.parametrize("field", dataclasses.fields(Parameters), ids=lambda f: f.name)
def test_every_parameter_stands_on_the_page_with_its_default(field: dataclasses.Field[float]) -> None:
    (cells,) = [cells for cells in rows(section(page("identify.md"), "Parameters")) if cells[0] == f"`{field.name}`"]
    assert float(cells[1]) == field.default


def test_the_page_lists_no_parameter_that_is_not_there() -> None:
    listed = {cells[0].strip("`") for cells in rows(section(page("identify.md"), "Parameters")) if "`" in cells[0]}
    assert listed == {field.name for field in dataclasses.fields(Parameters)}


def test_the_constants_named_in_the_text_are_those_of_the_code() -> None:
    text = page("identify.md")
    mostly, at_times, seldom, never = WEIGHTS.values()
    assert f"*mostly* weighs {mostly:g}, *at times* {at_times:g}, *seldom* {seldom:g}, *never* {never:g}" in text
    assert ", ".join(f"{chance:g}" for chance in MARK_CHANCES.values()) + "; a mark that" in text
    assert f"has {UNLISTED_MARK:g}." in text
    assert "chances " + ", ".join(f"{p:.2f}" for p in STAGE_PRIOR) in text
    assert f"z = {Z95}" in text


def test_the_characters_that_may_exclude_are_the_ones_listed() -> None:
    ids = [c.id for c in KNOWN.characters.values() if c.excludes]
    assert ids == [
        "form", "hymenium", "deposit_colour", "spore_length", "spore_width", "spore_shape", "spore_ornament",
        "spore_cell", "ball_inside",
    ]  # fmt: skip
    words = (
        "form, underside, deposit colour, spore length, width, shape and ornament, the cell that bears the spores, and"
    )
    assert words in section(page("identify.md"), "What is ruled out")


# Worked checks


ONE = section(page("identify.md"), "Worked check 1")
TWO = section(page("identify.md"), "Worked check 2")
FINDINGS = {
    "hymenium gills, clinic": "hymenium",
    "gill attachment free, clinic, given the former": "gill attachment",
    "cap colour white or yellow, finder": "cap colour, finder",
    "cap colour white, clinic, given the former": "cap colour, clinic",
    "cap diameter 62 mm, u 3 mm": "cap diameter",
    "ring not present, finder": "ring",
    "odour none, finder": "odour",
}
EXPONENTS = [1.0, 1.0, 0.8, 0.8, 0.8, 1.0, 0.9]


def test_the_input_of_worked_check_2_on_the_page_is_the_input_of_the_test() -> None:
    (block,) = re.findall(r"```toml\n(.*?)```", TWO, re.DOTALL)
    assert tomllib.loads(block) == worked.check()


@pytest.mark.parametrize(("number", "name"), list(enumerate(FINDINGS.values())))
def test_decibans_on_the_page_are_those_of_the_test(number: int, name: str) -> None:
    table = TWO.split("Decibans against the outside", 1)[1].split("posterior", 1)[0]
    assert row(table, name) == checks.EXPECTED_DECIBANS[number]


@pytest.mark.parametrize(("number", "name"), list(enumerate(FINDINGS)))
def test_probabilities_on_the_page_come_out_of_the_engine(number: int, name: str) -> None:
    *inside, outside = row(TWO, name)
    step = checks.steps()[number]
    assert np.exp(step[:4] / EXPONENTS[number]) * outside == pytest.approx(inside, rel=3e-6)


def test_sums_and_odds_on_the_page_follow_from_the_table() -> None:
    total = np.sum(checks.EXPECTED_DECIBANS, axis=0)
    assert row(TWO, "sum") == pytest.approx(total, abs=3e-6)
    prior = 10 * np.log10(np.array(checks.PRIOR[:4]) / checks.PRIOR[4])
    assert row(TWO, "prior against the outside") == pytest.approx(prior, abs=1e-6)
    assert row(TWO, "posterior odds against the outside") == pytest.approx(total + prior, abs=3e-6)


def test_the_posterior_on_the_page_comes_out_of_the_engine() -> None:
    assert row(TWO, "posterior") == pytest.approx(checks.posterior_of(), abs=1e-9)


@pytest.mark.parametrize("fault", checks.WRONG)
def test_figures_of_faulty_programs_are_those_of_the_test(fault: str) -> None:
    assert row(TWO, fault) == checks.WRONG[fault]


def expected_numbers() -> set[float]:
    """Every number with four decimals or more that the worked checks expect; what is 0.001 or less is a tolerance."""
    tree = ast.parse(Path(checks.__file__).read_text(encoding="utf-8"))
    found = [n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, float)]
    return {value for value in found if value > 1e-3 and len(f"{value:.12g}".partition(".")[2]) >= 4}


@pytest.mark.parametrize("number", sorted(expected_numbers()))
def test_every_number_that_the_worked_checks_expect_stands_on_the_page(number: float) -> None:
    stated = {float(n) for n in re.findall(r"\d+\.\d+", ONE + TWO)}
    assert number in stated


def test_ranges_on_the_page_are_those_of_the_test() -> None:
    for taxon, (length, width, q) in checks.RANGES.items():
        cells = next(cells for cells in rows(ONE) if cells[0] == taxon)
        stated = [tuple(float(n) for n in cell.split("–")) for cell in cells[1:4] if "–" in cell]
        assert stated == [r for r in (length, width, q) if r]
