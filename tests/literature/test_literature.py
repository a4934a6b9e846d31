"""Published specimens: read as any case is, each with its source, and what the engine must never do with them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from fruitbody import funga
from fruitbody.cli.identify_command import read_case
from fruitbody.identify import identify
from fruitbody.identify.parameters import fitted
from fruitbody.identify.trial.danger import wrongly_excluded
from fruitbody.identify.trial.judging import Judge
from fruitbody.identify.trial.literature import Printed, judge_printed, read_folder
from fruitbody.identify.trial.plan import DEPTHS

FOLDER = Path(__file__).parent / "specimens"
KNOWN = funga.load()
PRINTED = read_folder(FOLDER, lambda data: read_case(KNOWN, data)[0])


def test_there_are_sixty_or_more() -> None:
    assert len(PRINTED) >= 60


def test_no_source_gives_more_than_five() -> None:
    assert max(Counter(one.source for one in PRINTED).values()) <= 5


@pytest.mark.parametrize("one", PRINTED, ids=lambda one: one.file)
def test_each_names_its_source_its_depth_and_what_it_is(one: Printed) -> None:
    assert len(one.source) > 20
    assert one.depth in DEPTHS
    assert one.truth_name
    assert one.genus
    assert one.family
    assert one.case.findings


@pytest.mark.parametrize("one", [o for o in PRINTED if o.truth], ids=lambda one: one.file)
def test_what_it_is_stands_in_the_funga_where_it_says_so(one: Printed) -> None:
    assert one.truth in KNOWN.taxa


@pytest.mark.parametrize(
    "one", [o for o in PRINTED if o.truth in KNOWN.taxa and KNOWN.taxa[o.truth].hazard], ids=lambda one: one.file
)
def test_no_group_that_a_published_specimen_belongs_to_is_ruled_out(one: Printed) -> None:
    assert not wrongly_excluded(KNOWN, KNOWN.taxa[one.truth], one.case)
    standing = {s.group for s in identify(KNOWN, one.case).not_excluded}
    assert set(KNOWN.taxa[one.truth].hazard) <= standing


def test_every_specimen_is_judged_once() -> None:
    found, lines = judge_printed(Judge(KNOWN, fitted()), PRINTED)
    inside = [one for one in PRINTED if one.truth in KNOWN.taxa]
    assert len(found.verdicts) == len(inside)
    assert [line["file"] for line in lines] == [one.file for one in PRINTED]
    assert {line["file"] for line in lines if line["in_funga"]} == {one.file for one in inside}


def test_a_broken_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "01-broken.toml").write_text("truth = ", encoding="utf-8")
    with pytest.raises(ValueError, match=r"01-broken\.toml"):
        read_folder(tmp_path, lambda data: read_case(KNOWN, data)[0])
