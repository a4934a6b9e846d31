"""Words that no text of ours may use: praise or clearance for eating, and an assessor's verdicts on a tree.

The list stands in the practice of this project (practice.md B2 and B7); the rest of each list is its kin. A name is
spared as a name, and so are the fixed sentences, which say what we do *not* say.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Final

from fruitbody.report.cautions import CAUTIONS

# One regular expression a line, matched between word boundaries, after case folding. "inedible" and "unsafe" are
# verdicts on eating as well, so the stems take their prefixes.
BANNED: Final[dict[str, tuple[str, ...]]] = {
    "en": (
        r"(?:in|non-?|un)?edib(?:le|les|ility)",
        r"(?:un)?eatable",
        r"(?:un)?safe(?:r|st|ly)?",
        r"safety",
        r"choice",
        r"delicious(?:ly)?",
        r"delicac(?:y|ies)",
        r"tast(?:y|ier|iest)",
        r"(?:un)?palatable",
        r"culinary",
        r"gourmet",
        r"non-? ?toxic",
        r"not (?:at all )?(?:toxic|poisonous)",
        r"non-? ?poisonous",
        r"harmless(?:ly)?",
        r"innocuous",
        r"benign",
        r"wholesome",
        r"risk-? ?free",
        r"(?:good|fine|ok|okay|fit) (?:to|for) eat(?:ing)?",
        r"can be eaten",
        r"may be eaten",
        # Trees: the words of a risk assessment, and of what to do with the tree.
        r"can stay",
        r"may stay",
        r"(?:must|should|has to|needs to) be (?:felled|removed|cut down)",
        r"(?:must|should|has to) come down",
        r"(?:low|moderate|high|extreme|no) risk",
        r"(?:structurally )?sound tree",
    ),
    "es": (
        r"(?:in|no )?comestib(?:le|les|ilidad)",
        r"inofensiv[oa]s?",
        r"inocu[oa]s?",
        r"inócu[oa]s?",
        r"delicios[oa]s?",
        r"sabros[oa]s?",
        r"exquisit[oa]s?",
        r"(?:in)?segur[oa]s?",
        r"seguridad",
        r"(?:no|nada) (?:es |son )?(?:tóxic|venenos)[oa]s?",
        r"atóxic[oa]s?",
        r"apt[oa]s? para (?:el consumo|comer)",
        r"buen[oa]s? para comer",
        r"se pueden? comer",
        r"gastronómic[oa]s?",
        r"puede quedar(?:se)?",
        r"(?:debe|hay que|tiene que) (?:ser )?tala(?:do|rse|rlo|r)",
        r"(?:bajo|poco|alto|ningún) riesgo",
        r"riesgo (?:bajo|moderado|alto|extremo)",
    ),
}


@dataclass(frozen=True, slots=True)
class Banned:
    """A banned word as it stands in the text, and where it begins in the folded text (0-based)."""

    word: str
    at: int


def banned_words(text: str, *, language: str, names: Iterable[str] = ()) -> tuple[Banned, ...]:
    """The banned words of `language` in `text`, in order.

    names: scientific and vernacular names that may stand in it, such as "Lactarius deliciosus"; each is spared as a
    whole, and only as a whole. A name that is itself nothing but a banned word is not spared.
    """
    folded = _fold(text)
    pattern = _pattern(language)
    kept = [name for name in map(_fold, names) if name and not pattern.fullmatch(name)]
    for spared in sorted((*_fixed(language), *kept), key=len, reverse=True):
        folded = re.sub(rf"(?<!\w){re.escape(spared)}(?!\w)", lambda m: "\x00" * len(m.group()), folded)
    return tuple(Banned(match.group(), match.start()) for match in pattern.finditer(folded))


@cache
def _pattern(language: str) -> re.Pattern[str]:
    if language not in BANNED:
        raise KeyError(f"There is no list of banned words for “{language}”. Languages: {', '.join(BANNED)}.")
    return re.compile(rf"(?<!\w)(?:{'|'.join(BANNED[language])})(?!\w)")


@cache
def _fixed(language: str) -> tuple[str, ...]:
    return tuple(_fold(sentences[language]) for sentences in CAUTIONS.values())


def _fold(text: str) -> str:
    """One form per word: compatibility characters, case, dashes and spaces made one; invisible characters gone."""
    text = unicodedata.normalize("NFKC", text).casefold()
    text = "".join(c for c in text if unicodedata.category(c) != "Cf")
    text = re.sub(r"[\u2010-\u2015\u2212]", "-", text)
    return re.sub(r"\s+", " ", text)
