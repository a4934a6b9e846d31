"""Export as SDD 1.1, read back by a reader of its own.

No package reads SDD, as far as we found. So two things stand in for one: lxml checks the document against
`sdd_parts.xsd`, our rewriting of the published schema for the parts that we write, with every reference; and the
reader below knows nothing but the published schema and its examples, and takes nothing from the code that writes.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from lxml import etree

from fruitbody import funga
from fruitbody.cli.main import main
from fruitbody.funga.model import MeasureScore, StateScore
from fruitbody.funga.sdd import sdd_text
from fruitbody.report.banned import banned_words

KNOWN = funga.load()
TEXT = sdd_text(KNOWN, version="0", created=datetime(2026, 11, 25, 12, tzinfo=UTC))
ROOT = etree.fromstring(TEXT.encode())
NS = {"s": "http://rs.tdwg.org/UBIF/2006/"}
LANG = "{http://www.w3.org/XML/1998/namespace}lang"
SCHEMA = Path(__file__).with_name("sdd_parts.xsd")

State = tuple[str, str, tuple[str, ...]]
"""Label of the character, label of the state, labels of its modifiers."""


def found(path: str, at: etree._Element = ROOT) -> list[etree._Element]:
    return at.findall(path, NS)


def label(element: etree._Element) -> str:
    """The label of an object, the first of those it has."""
    return found("s:Representation/s:Label", element)[0].text or ""


LABELS = {element.get("id"): label(element) for element in ROOT.iter() if found("s:Representation", element)}


def modifiers(element: etree._Element) -> tuple[str, ...]:
    return tuple(LABELS[m.get("ref")] for m in found("s:Modifier", element))


SUMMARIES = {
    LABELS[found("s:Scope/s:TaxonName", d)[0].get("ref")]: found("s:SummaryData", d)[0]
    for d in found(".//s:CodedDescription")
}


def description(taxon: funga.Taxon) -> etree._Element:
    """The summary data of the taxon called so."""
    return SUMMARIES[f"{taxon.name} {taxon.authority}".strip()]


def states(summary: etree._Element) -> set[State]:
    return {
        (LABELS[c.get("ref")], LABELS[s.get("ref")], modifiers(s))
        for c in found("s:Categorical", summary)
        for s in found("s:State", c)
    }


def measures(summary: etree._Element) -> dict[tuple[str, tuple[str, ...]], dict[str, float]]:
    return {
        (LABELS[q.get("ref")], modifiers(q)): {
            str(m.get("type")): float(m.get("value", "nan")) for m in found("s:Measure", q)
        }
        for q in found("s:Quantitative", summary)
    }


def ours(taxon: funga.Taxon) -> set[State]:
    """What the reader ought to find, from our own values."""
    told = set()
    for (key, stage), score in taxon.scores.items():
        character = KNOWN.characters[key]
        if isinstance(score, StateScore):
            for word in ("mostly", "at_times", "seldom", "never"):
                marks = tuple(filter(None, (word.replace("_", " "), stage)))
                told |= {(character.plain, character.state(s).plain, marks) for s in getattr(score, word)}
    return told


# ---------------------------------------------------------------- the form


def test_the_document_keeps_to_the_published_order_of_elements_and_every_reference_leads_somewhere() -> None:
    schema = etree.XMLSchema(etree.parse(SCHEMA))
    schema.assertValid(ROOT)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('<State ref="s-form-', '<State ref="s-from-', "keyref"),
        ('<Modifier ref="m-mostly" />', '<Modifier ref="m-usually" />', "keyref"),
        ('<Measure type="UMethLower"', '<Measure type="Lower"', "not an element of the set"),
        ("<Scope>", "<Skope>", "Skope"),
        ('<TextCharacter id="f-what">', '<TextCharacter id="f-basis">', "unique identity-constraint"),
    ],
)
def test_a_spoilt_document_is_caught_by_the_same_check(old: str, new: str, words: str) -> None:
    assert old in TEXT
    spoilt = TEXT.replace(old, new, 1)
    if new == "<Skope>":
        spoilt = spoilt.replace("</Scope>", "</Skope>", 1)
    schema = etree.XMLSchema(etree.parse(SCHEMA))
    assert not schema.validate(etree.fromstring(spoilt.encode()))
    assert words in str(schema.error_log)


def test_the_document_names_its_standard_and_its_maker() -> None:
    assert ROOT.tag == f"{{{NS['s']}}}Datasets"
    assert found("s:TechnicalMetadata")[0].get("created") == "2026-11-25T12:00:00+00:00"
    assert found("s:TechnicalMetadata/s:Generator")[0].get("name") == "Fruitbody"


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="needs its zone"):
        sdd_text(KNOWN, version="0", created=datetime(2026, 11, 25))  # noqa: DTZ001


# ---------------------------------------------------------------- the terminology


def test_every_character_stands_with_its_states_or_its_unit() -> None:
    for character in KNOWN.characters.values():
        (element,) = [e for e in found(".//s:Characters/*") if label(e) == character.plain and e.get("id")[:2] == "c-"]
        if character.unit:
            unit = [u.text for u in found("s:MeasurementUnit/s:Label", element)]
            assert unit == ([] if character.unit == "ratio" else [character.unit])
        else:
            assert [label(s) for s in found("s:States/s:StateDefinition", element)] == [
                s.plain for s in character.states
            ]


def test_states_that_have_spanish_words_carry_them() -> None:
    told = [s for c in KNOWN.characters.values() for s in c.states if s.plain_es]
    labels = [e for e in found(".//s:StateDefinition/s:Representation/s:Label") if e.get(LANG) == "es"]
    assert [e.text for e in labels] == [s.plain_es for s in told]


def test_the_frequency_words_are_frequency_modifiers_from_often_to_not_at_all() -> None:
    (often,) = [c for c in found(".//s:DescriptiveConcept") if c.get("id") == "how-often"]
    ranges = [
        (label(m), float(r.get("lowerestimate", "nan")), float(r.get("upperestimate", "nan")))
        for m in found("s:Modifiers/s:Modifier", often)
        for r in found("s:ProportionRange", m)
    ]
    assert [name for name, _, _ in ranges] == ["mostly", "at times", "seldom", "never"]
    assert {m.text for m in found("s:Modifiers/s:Modifier/s:ModifierClass", often)} == {"Frequency"}
    assert [high for _, _, high in ranges] == sorted((high for _, _, high in ranges), reverse=True)
    assert ranges[-1][1:] == (0.0, 0.0)


def test_a_character_that_depends_on_another_says_with_which_states_it_applies() -> None:
    told = {
        LABELS[found("s:Character", node)[0].get("ref")]: {
            LABELS[s.get("ref")] for s in found("s:DependencyRules/s:OnlyApplicableIf/s:State", node)
        }
        for node in found(".//s:CharNode")
    }
    for character in KNOWN.characters.values():
        parent = KNOWN.characters.get(character.parent)
        assert told[character.plain] == {parent.state(s).plain for s in character.enabled_by if parent}


# ---------------------------------------------------------------- the taxa


@pytest.mark.parametrize("taxon", KNOWN.taxa.values(), ids=lambda t: t.id)
def test_what_is_read_of_a_taxon_is_what_the_funga_scores(taxon: funga.Taxon) -> None:
    summary = description(taxon)
    facts = {"rank", "way of life", "months with fruit bodies", "hazard groups"}
    assert {s for s in states(summary) if s[0] not in facts} == ours(taxon)
    for (key, stage), score in taxon.scores.items():
        if isinstance(score, MeasureScore):
            read = measures(summary)[KNOWN.characters[key].plain, (stage,) if stage else ()]
            ends = {"Min": score.min, "UMethLower": score.low, "UMethUpper": score.high, "Max": score.max}
            assert read == {name: value for name, value in ends.items() if value is not None}


def test_what_is_not_scored_is_left_out() -> None:
    taxon = KNOWN.taxa["amanita-phalloides"]
    told = {LABELS[e.get("ref")] for e in description(taxon)}
    scored = {character for character, _ in taxon.scores}
    assert not told & {c.plain for c in KNOWN.characters.values() if c.id not in scored}


def test_rank_and_hazard_are_told_as_characters() -> None:
    taxon = KNOWN.taxa["amanita-phalloides"]
    summary = states(description(taxon))
    assert ("rank", taxon.rank, ()) in summary
    assert ("hazard groups", KNOWN.hazard_groups[taxon.hazard[0]].plain, ()) in summary


def test_family_genus_taxon_and_old_names_hang_together() -> None:
    nodes = {node.get("id"): node for node in found(".//s:TaxonHierarchy/s:Nodes/s:Node")}
    taxon = KNOWN.taxa["amanita-phalloides"]
    (node,) = [n for n in nodes.values() if LABELS[found("s:TaxonName", n)[0].get("ref")].startswith(taxon.name)]
    way = []
    while found("s:Parent", node):
        old = [LABELS[s.get("ref")] for s in found("s:Synonyms/s:TaxonName", node)]
        way.append((LABELS[found("s:TaxonName", node)[0].get("ref")], old))
        node = nodes[found("s:Parent", node)[0].get("ref")]
    assert way[0] == (f"{taxon.name} {taxon.authority}", list(taxon.synonyms))
    assert [name for name, _ in way[1:]] == ["Amanita"]
    assert LABELS[found("s:TaxonName", node)[0].get("ref")] == "Amanitaceae"


def test_what_it_is_is_told_in_both_languages() -> None:
    taxon = KNOWN.taxa["amanita-phalloides"]
    (text,) = [t for t in found("s:TextChar", description(taxon)) if LABELS[t.get("ref")] == "what it is"]
    assert {c.get(LANG): c.text for c in found("s:Content", text)} == dict(taxon.what)


def test_every_source_that_a_basis_names_is_cited() -> None:
    used = {s for t in KNOWN.taxa.values() for sources in t.basis.values() for s in sources if s in KNOWN.sources}
    assert {label(p) for p in found(".//s:Publication")} == {KNOWN.sources[s].citation for s in used}


def test_the_document_says_what_it_does_not_say_and_praises_nothing() -> None:
    detail = found("s:Dataset/s:Representation/s:Detail")[0].text or ""
    assert "This does not say whether any mushroom is safe to eat." in detail
    assert (
        banned_words(detail.replace("This does not say whether any mushroom is safe to eat.", ""), language="en") == ()
    )


# ---------------------------------------------------------------- the terminal


def test_the_terminal_writes_the_document(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "funga.xml"
    assert main(["funga", "export", "--as", "sdd", "--out", str(path)]) == 0
    assert capsys.readouterr().out == f"{path} is written.\n"
    assert len(found(".//s:CodedDescription", etree.parse(path).getroot())) == len(KNOWN.taxa)
