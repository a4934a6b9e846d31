"""The letter of page 1: what stands first, and when an issue is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.report import (
    CAUTIONS,
    Call,
    Means,
    NotExcluded,
    Opinion,
    Person,
    Question,
    ReportRefused,
    caution,
    compose,
    compose_name,
    formal_items,
    refusals,
    report_pdf,
    size_in_words,
)
from tests.report.sample import ROSA, ZONE, asking, button, content, crust


def test_a_question_about_eating_is_answered_by_saying_that_we_do_not() -> None:
    assert compose(content()).answer[0] == "We do not answer whether it can be eaten."


def test_the_second_line_says_what_could_not_be_excluded() -> None:
    assert compose(content()).answer[1] == "We could not exclude: white deadly Amanita kinds."


def test_a_group_that_two_kinds_share_is_told_once() -> None:
    twice = content(button(), replace(button(), clinic_number="26-0417-B"))
    assert compose(twice).answer[1].count("white deadly") == 1


def test_without_a_dangerous_group_nothing_is_said_to_be_excluded() -> None:
    letter = compose(content(replace(button(), not_excluded=())))
    assert letter.answer == ("We do not answer whether it can be eaten.",)


def test_the_two_sentences_stand_first_among_the_cautions_whatever_the_name() -> None:
    for kind in (button(), crust(), replace(button(), name=())):
        assert compose(content(kind)).cautions[:2] == (caution("not_eating", "en"), caution("these_pieces", "en"))


def test_an_agent_of_brittle_rot_puts_the_referral_and_the_call_first() -> None:
    letter = compose(content(crust(), submission=asking(Question.TREE), answer="It rots the foot of the trunk."))
    assert letter.urgent == (
        caution("tree_prompt_referral", "en"),
        "We will call you the same day that this report is issued.",
    )


def test_a_call_already_made_is_told_with_its_time_and_zone() -> None:
    call = Call(at=datetime(2026, 10, 6, 15, 30, tzinfo=ZONE), to="City parks", by="Rosa Exemplar")
    letter = compose(content(crust(), submission=asking(Question.TREE), answer="It rots the foot.", call=call))
    assert letter.urgent[1] == (
        "We called City parks about it on 6 October 2026, 15:30 (America/New_York, UTC−04:00) (Rosa Exemplar)."
    )


def test_a_tree_question_says_that_the_tree_was_not_inspected() -> None:
    letter = compose(content(crust(), submission=asking(Question.TREE), answer="It rots the foot of the trunk."))
    assert caution("tree", "en") in letter.answer


@pytest.mark.parametrize("question", [Question.CHILD, Question.ANIMAL])
def test_a_child_or_an_animal_puts_the_poison_centre_first(question: Question) -> None:
    letter = compose(content(submission=asking(question), answer="It is an Amanita."))
    assert letter.urgent[0] == caution("poisoning", "en")


def test_somebody_who_ate_it_puts_the_poison_centre_first_whatever_the_question() -> None:
    letter = compose(content(submission=asking(Question.LAWN, eaten_by=("people",)), answer="A lawn kind."))
    assert letter.urgent[:2] == (caution("poisoning", "en"), caution("poisoning_people", "en"))


def test_the_poison_centre_stands_on_every_letter() -> None:
    for question in Question:
        letter = compose(content(submission=asking(question), answer="Told below."))
        assert "1-800-222-1222" in " ".join((*letter.urgent, *letter.cautions))


def test_a_clinic_that_does_not_answer_says_why() -> None:
    letter = compose(content(submission=asking(Question.DISPUTE), does_not_answer="we do not assess damage."))
    assert letter.answer[0] == "We do not answer this: we do not assess damage."


@pytest.mark.parametrize(("flag", "key"), [("controlled", "controlled"), ("inhalation", "inhalation"), ("raw", "raw")])
def test_a_hazard_of_a_kind_brings_its_sentence(flag: str, key: str) -> None:
    raised: dict[str, Any] = {flag: True}
    letter = compose(content(replace(button(), **raised)))
    assert caution(key, "en") in letter.cautions


def test_a_name_on_hold_is_masked_and_its_dangers_are_not() -> None:
    kind = compose(content(replace(button(), on_hold=True))).kinds[0]
    assert (kind.name[0].text, kind.means, kind.answer) == ("Not named yet", (), CAUTIONS["on_hold"]["en"])
    assert kind.not_excluded[0][0] == "white deadly Amanita kinds"


def test_a_size_stands_in_words_in_the_letter() -> None:
    assert compose(content()).kinds[0].size == "Size of what came: width of the cap about 4 cm."


def test_a_finders_label_that_clears_a_mushroom_stays_off_page_one() -> None:
    kind = compose(content(replace(button(), finder_label="the edible ones"))).kinds[0]
    assert (kind.label, kind.clinic_number) == ("", "26-0417-A")


@pytest.mark.parametrize(
    ("low", "high", "english", "spanish"),
    [
        (0.4, 0.4, "about 1 mm", "unos 1 mm"),
        (3.2, 3.2, "about 3 mm", "unos 3 mm"),
        (14, 14, "about 1.5 cm", "unos 1,5 cm"),
        (61, 61, "about 6 cm", "unos 6 cm"),
        (65, 65, "about 7 cm", "unos 7 cm"),
        (41, 58, "about 4 to 6 cm", "unos 4 a 6 cm"),
        (8, 20, "about 8 mm to 2 cm", "unos 8 mm a 2 cm"),
        (59, 61, "about 6 cm", "unos 6 cm"),
        (1240, 1240, "about 1.2 m", "unos 1,2 m"),
    ],
)
def test_sizes_read_as_people_say_them(low: float, high: float, english: str, spanish: str) -> None:
    # Worked by hand from the rounding rule in `size_in_words`.
    assert (size_in_words(low, high, "en"), size_in_words(low, high, "es")) == (english, spanish)


@given(st.floats(1, 3000))
def test_a_size_in_words_is_within_a_fifth_of_the_size_or_half_a_millimetre(mm: float) -> None:
    number, unit = size_in_words(mm, mm, "en").removeprefix("about ").split()
    said = float(number) * {"mm": 1, "cm": 10, "m": 1000}[unit]
    assert abs(said - mm) <= max(0.5 + 1e-6, 0.2 * mm)


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-3.0, -1.0), (5.0, 4.0), (1.0, float("inf"))])
def test_a_size_that_cannot_be_is_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="positive"):
        size_in_words(low, high, "en")


def test_the_formal_items_are_a_to_p_and_none_is_empty() -> None:
    # ISO/IEC 17025:2017, 7.8.2.1 has sixteen items, a to p.
    items = formal_items(content())
    assert "".join(item.letter for item in items) == "abcdefghijklmnop"
    assert all(item.lines and all(item.lines) for item in items)


def test_a_report_in_order_is_not_refused() -> None:
    assert refusals(content()) == ()


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"answer": "These are edible."}, "“edible”"),
        ({"answer": "Son comestibles."}, "“comestibles”"),
        ({"answer": "The tree can stay."}, "“can stay”"),
        ({"submission": asking(Question.LAWN)}, "no answer"),
        ({"kinds": ()}, "no kind"),
        ({"version": 2}, "what changed and why"),
        ({"version": 0}, "version"),
        ({"language": "xx"}, "Choose one"),
        ({"issued_at": datetime(2026, 10, 6)}, "time zone"),  # noqa: DTZ001 - the fault under test
        ({"issued_at": datetime(2026, 1, 1, tzinfo=ZONE)}, "before the bag was received"),
        ({"issued_by": Person("")}, "issuing"),
        ({"zone": ""}, "time zone"),
    ],
)
def test_a_report_with_a_fault_is_refused_with_a_sentence(changes: dict[str, Any], says: str) -> None:
    sentences = refusals(content(**changes))
    assert any(says in sentence for sentence in sentences)
    assert all(sentence.endswith(".") for sentence in sentences)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"determined_by": None}, "no determiner"),
        ({"rank": ""}, "how far it is named"),
        ({"means": Means(people="Harmless.")}, "“harmless”"),
        ({"not_excluded": (NotExcluded(group="safe kinds"),)}, "“safe”"),
        ({"opinions": (Opinion(text="An Amanita.", by=ROSA, basis=""),)}, "author or its basis"),
        ({"name": compose_name("Amanita phalloides", qualifier="aff."), "opinions": ()}, "aff."),
        ({"on_hold": True, "rank": "an Amanita sp. it seems"}, "on hold"),
    ],
)
def test_a_kind_with_a_fault_is_refused_with_a_sentence(changes: dict[str, Any], says: str) -> None:
    sentences = refusals(content(replace(button(), **changes)))
    assert any(says in sentence for sentence in sentences)


def test_a_refused_report_is_not_printed() -> None:
    with pytest.raises(ReportRefused) as refused:
        report_pdf(content(answer="A choice one."))
    assert "“choice”" in refused.value.sentences[0]


def test_a_listed_vernacular_name_may_stand_in_a_text() -> None:
    told = content(answer="Not the delicious milk cap.", listed_names=("delicious milk cap",))
    assert refusals(told) == ()


def test_what_the_client_told_us_is_not_judged_as_ours() -> None:
    submission = asking(Question.EATING, told=(("note", "my uncle says they are delicious"),))
    assert refusals(content(submission=submission)) == ()
