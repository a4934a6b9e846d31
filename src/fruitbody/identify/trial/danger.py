"""Dangerous kinds wrongly excluded: by what was found, and by an adversary who falsifies any one clinic finding."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from fruitbody.examine.finding import Finding, Measured, SeenOn
from fruitbody.funga.model import FROM_MEMORY, CharacterKind, Funga, Taxon
from fruitbody.identify.exclude import TRAINED, why_excluded
from fruitbody.identify.identify import Case, lost_needs


def wrongly_excluded(known: Funga, true: Taxon, case: Case) -> bool:
    """Whether a hazard group that the specimen belongs to is ruled out. All findings are about one fruit body."""
    lost = lost_needs(known, case)
    return any(why_excluded(known, group, case.findings, lost=lost) for group in true.hazard)


def falls_to_an_adversary(known: Funga, true: Taxon, case: Case) -> bool:
    """Whether some single falsified clinic finding would rule out a group that the specimen really belongs to."""
    lost = lost_needs(known, case)
    groups = [group for group in true.hazard if _can_be_excluded(known, group)]
    return any(why_excluded(known, g, f, lost=lost) for g in groups for f in falsified(known, case))


def _can_be_excluded(known: Funga, group: str) -> bool:
    """A group whose gross description has not two published sources for its *never* cannot be excluded at all."""
    return len({s for s in known.hazard_groups[group].never_basis if s != FROM_MEMORY}) >= 2


def falsified(known: Funga, case: Case) -> Iterator[tuple[Finding, ...]]:
    """Every case in which one clinic finding on a character that may exclude says something else."""
    for place, finding in enumerate(case.findings):
        character = known.characters[finding.character]
        if not character.excludes or finding.by not in TRAINED or finding.seen_on is not SeenOn.MATERIAL:
            continue
        before, after = case.findings[:place], case.findings[place + 1 :]
        if character.kind is CharacterKind.MEASURE:
            for factor in (0.2, 5.0):
                value = factor * (finding.measured.low if finding.measured else 1.0)
                yield (*before, dataclasses.replace(finding, measured=Measured(value, None, 0.02 * value, 30)), *after)
        else:
            for state in character.state_ids:
                if (state,) != finding.states:
                    yield (*before, dataclasses.replace(finding, states=(state,), negated=False), *after)
