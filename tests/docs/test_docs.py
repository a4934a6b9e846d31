"""Documentation that drifts from the code fails here: pages, links, commands, parameters, numbers, words."""

from __future__ import annotations

import argparse
import dataclasses
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from fruitbody import funga
from fruitbody.cli.identify_command import TOP_FIELDS, as_json, read_case
from fruitbody.cli.main import build_parser
from fruitbody.examine.parse import FIELDS
from fruitbody.funga.characters import NEEDS
from fruitbody.funga.export import character_entry, taxon_entry
from fruitbody.funga.model import STAGES, CharacterKind, MeasureScore, StateScore
from fruitbody.identify import identify
from fruitbody.identify.exclude import WHICH_BODY
from fruitbody.identify.trial.page import markdown
from fruitbody.identify.trial.record import FIGURES
from fruitbody.report.banned import banned_words
from tests.docs.pages import DOCS, PAGES, ROOT, page, rows, section
from tests.funga.test_knowledge import MUST_BE_NAMED

KNOWN = funga.load()
PACKAGES = sorted(p.parent.name for p in (ROOT / "src/fruitbody").glob("*/__init__.py"))
ROOMS = sorted(p.parent.name for p in (ROOT / "src/fruitbody/desk").glob("*/__init__.py"))


# Pages


@pytest.mark.parametrize("package", PACKAGES)
def test_every_package_has_its_page_and_the_index_names_it(package: str) -> None:
    assert (DOCS / f"{package}.md").exists()
    assert f"({package}.md)" in page("README.md")


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_of_the_desk_stands_on_its_page(room: str) -> None:
    assert f"`{room}`" in page("desk.md")


@pytest.mark.parametrize("path", [p for p in DOCS.rglob("*.md") if p.name != "README.md"], ids=lambda p: p.name)
def test_every_page_stands_in_the_index(path: Path) -> None:
    assert f"({path.relative_to(DOCS).as_posix()})" in page("README.md")


@pytest.mark.parametrize("path", sorted((DOCS / "decisions").glob("*.md")), ids=lambda p: p.name)
def test_every_decision_has_its_number_and_date(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.startswith(f"# {path.name[:4]} ")
    assert re.search(r"^\d{4}-\d\d-\d\d · ", text, re.MULTILINE)


def links() -> Iterator[tuple[Path, str]]:
    for path in PAGES:
        text = re.sub(r"```.*?```", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        for target in re.findall(r"\]\(([^)\s]+)\)", text):
            if not re.match(r"[a-z]+:", target) and "pictures/" not in target:
                yield path, target


@pytest.mark.parametrize(("path", "target"), list(links()), ids=lambda v: v.name if isinstance(v, Path) else v)
def test_every_link_leads_somewhere(path: Path, target: str) -> None:
    file, _, anchor = target.partition("#")
    goal = (path.parent / file).resolve() if file else path
    assert goal.exists()
    if anchor:
        heads = re.findall(r"^#+ (.*)$", goal.read_text(encoding="utf-8"), re.MULTILINE)
        assert anchor in {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


def test_every_test_file_named_among_the_sources_exists() -> None:
    named = set(re.findall(r"`(tests/[\w/]+\.py)`", page("sources.md")))
    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


# Packages


def required(name: str) -> list[str]:
    lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
    return [re.split(r"[\[~<>=!; ]", line)[0] for line in lines if line and not line.startswith(("-", "#"))]


@pytest.mark.parametrize("package", [*required("requirements.in"), *required("requirements-dev.in")])
def test_every_package_has_a_reason(package: str) -> None:
    (cells,) = [cells for cells in rows(page("decisions/0002-dependencies.md")) if cells[0] == f"`{package}`"]
    assert len(cells[1]) > 10


# The terminal


def commands(parser: argparse.ArgumentParser, words: str = "fruitbody") -> Iterator[tuple[str, list[str]]]:
    """Every command that can be given, with its options."""
    branches = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    for branch in branches:
        for name, child in branch.choices.items():
            yield from commands(child, f"{words} {name}")
    if not branches:
        yield words, [o for a in parser._actions for o in a.option_strings if o.startswith("--") and o != "--help"]


COMMANDS = dict(commands(build_parser()))


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_a_section_with_an_example_and_its_options(command: str) -> None:
    text = section(page("cli.md"), f"`{command}`")
    assert re.search(rf"^    {command}\b", text, re.MULTILINE)
    assert [option for option in COMMANDS[command] if option not in text] == []


def test_every_section_of_the_terminal_is_a_command() -> None:
    assert set(re.findall(r"^## `(.*)`$", page("cli.md"), re.MULTILINE)) == set(COMMANDS)


@pytest.mark.parametrize("part", ["characters", "taxa"])
def test_the_keys_of_the_lists_are_those_that_are_printed(part: str) -> None:
    printed = {
        "characters": character_entry(next(iter(KNOWN.characters.values()))),
        "taxa": taxon_entry(next(iter(KNOWN.taxa.values()))),
    }
    (line,) = re.findall(
        r"^JSON: \[\{(.*?)\}\][.;]", section(page("cli.md"), f"`fruitbody funga {part}`"), re.MULTILINE
    )
    assert re.findall(r"`(\w+)`", re.sub(r"\[\{.*?\}\]", "", line)) == list(printed[part])


CONTRACT = section(page("identify.md"), "The terminal")


def test_the_example_file_is_read_and_gives_every_documented_key_and_no_other() -> None:
    (example,) = re.findall(r"```toml\n(.*?)```", CONTRACT, re.DOTALL)
    case, notes = read_case(KNOWN, tomllib.loads(example))
    result = as_json(identify(KNOWN, case), notes)
    assert [s["character"] for s in result["set_aside"]] == ["volva"]
    after = CONTRACT.split("What comes out", 1)[1]
    listed = {word for cells in rows(after) for word in re.findall(r"`(\w+)`", cells[0])}
    assert listed == set(result)
    for key in ("candidates", "ranks", "not_excluded", "look_next", "other_species", "set_aside"):
        (cells,) = [cells for cells in rows(after) if cells[0] == f"`{key}`"]
        assert set(result[key][0]) <= set(re.findall(r"`(\w+)`", cells[1])), key


def test_every_field_of_a_finding_is_documented() -> None:
    before = CONTRACT.split("What comes out", 1)[0]
    listed = {word for cells in rows(before) for word in re.findall(r"`(\w+)`", cells[0])}
    assert listed == set(FIELDS)
    assert all(f"{field} = " in before or f"[[{field}]]" in before for field in TOP_FIELDS)


# The funga's page


FUNGA = page("funga.md")
SCORE_WORDS = {f.name for f in (*dataclasses.fields(StateScore), *dataclasses.fields(MeasureScore))} | set(STAGES)


def test_score_words_of_the_example_taxon_are_words_of_the_code() -> None:
    (block,) = re.findall(r"```toml\n(.*?)```", FUNGA, re.DOTALL)
    (taxon,) = tomllib.loads(block)["taxon"]
    assert set(taxon["scores"]) <= set(KNOWN.characters)
    for score in taxon["scores"].values():
        inner = [part for part in score.values() if isinstance(part, dict)]
        assert {word for part in (score, *inner) for word in part} <= SCORE_WORDS


def test_score_words_and_kinds_in_the_text_are_words_of_the_code() -> None:
    text = section(FUNGA, "Scores")
    named = {word for braces in re.findall(r"`\{(.*?)\}`", text) for word in re.findall(r"[a-z_]+", braces)}
    listed = set(re.findall(r"`(\w+)`", text.split("- **Marks**")[0].split("hold lists")[0]))
    assert named | listed
    assert named | listed <= SCORE_WORDS
    assert set(re.findall(r"of kind `(\w+)`", FUNGA)) <= set(CharacterKind)


@pytest.mark.parametrize("name", MUST_BE_NAMED)
def test_a_kind_that_every_desk_must_know_stands_on_the_page(name: str) -> None:
    assert f"*{name}*" in section(FUNGA, "Kinds that every desk must know")


def test_no_kind_stands_on_the_page_that_no_test_asks_for() -> None:
    named = re.findall(r"\*([A-Z][a-z]+(?: [a-z-]+)?)\*", section(FUNGA, "Kinds that every desk must know"))
    assert set(named) == set(MUST_BE_NAMED)


def test_needs_words_of_the_materials_are_known_to_the_characters() -> None:
    lost = {word for m in (*KNOWN.material_kinds.values(), *KNOWN.conditions.values()) for word in m.loses}
    assert lost <= {*NEEDS, "material", WHICH_BODY}


# Words


SPARED = ("no statement of safety",)
"""A fixed label of the hazard vocabulary; it says that none is made."""


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.relative_to(ROOT).as_posix())
@pytest.mark.parametrize("language", ["en", "es"])
def test_no_page_praises_or_clears_but_where_the_words_are_listed_as_banned(path: Path, language: str) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    text = "\n".join(line for line in lines if "Banned as praise" not in line)
    assert [b.word for b in banned_words(text, language=language, names=SPARED)] == []


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_no_page_speaks_of_one_machine(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"(?<![\w.])/(?:work|tmp|home|root|farm)\b", text) == []


def test_the_readme_begins_with_the_job_and_the_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    job, commands_, *_ = text.split("\n\n")[1:]
    assert job.startswith("Fruitbody is the identification desk")
    assert [line.split("#")[0].strip() for line in commands_.splitlines()] == ["make demo", "make test"]
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    assert all(re.search(rf"^{target}:", makefile, re.MULTILINE) for target in ("demo", "test"))


def test_the_figures_of_the_last_trial_stand_on_the_page_as_they_were_measured() -> None:
    """docs/identify.md §15 against figures.json; `python -m fruitbody.identify.trial.page` prints the tables anew."""
    assert markdown(json.loads(FIGURES.read_text(encoding="utf-8"))) in page("identify.md")
