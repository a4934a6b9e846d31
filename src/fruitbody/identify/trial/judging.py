"""One specimen judged: what the engine said of it, beside what it is."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Funga
from fruitbody.identify.compile import model_of
from fruitbody.identify.identify import Case, usable_findings
from fruitbody.identify.index import Index, index_of
from fruitbody.identify.likelihood import Memo
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.prior import Prior, prior_of
from fruitbody.identify.ranking import STAGE, Logs, logs_of, posterior_of, steps_of
from fruitbody.identify.rollup import Proposal, propose, rank_shares
from fruitbody.identify.tables import Model
from fruitbody.identify.trial import figures
from fruitbody.identify.trial.naming import named_right
from fruitbody.identify.trial.outside import without, without_taxon
from fruitbody.identify.trial.specimens import Specimen

Array = NDArray[np.float64]
RANKS = ("species", "group", "genus", "family", "form")


@dataclass(frozen=True, slots=True)
class Verdict:
    """Numbers of one case.

    p_true: probability of what it is; place: its place among the taxa; p_best, best_right: of the best taxon;
    genus_right: of the likeliest genus, its unlisted species included; rank: of the proposal (RANKS); right: the
    proposal is true at its rank; unjustified: a kind was named and it is wrong; held: smallest set of hypotheses that
    holds 0.9; usual: prior weight of this kind, month and region among all that come in.

    stranger: P(none of these) with nothing taken out; stranger_*: with the species, the genus or the family taken out
    of the funga. out_genus: with the species out, its genus was named and no species; out_bare: and no cf. either;
    out_named: a wrong species was named. NaN where nothing of the genus would be left.
    """

    row: int
    p_true: float
    place: int
    p_best: float
    best_right: bool
    genus_right: bool
    brier: float
    rank: int
    right: bool
    unjustified: bool
    held: int
    usual: float
    used: int
    stranger: float
    stranger_species: float = np.nan
    stranger_genus: float = np.nan
    stranger_family: float = np.nan
    out_genus: float = np.nan
    out_bare: float = np.nan
    out_named: float = np.nan


COLUMNS = tuple(field.name for field in fields(Verdict))


class Judge:
    """The engine at one set of parameters, ranking many cases."""

    def __init__(self, known: Funga, parameters: Parameters) -> None:
        self.known, self.parameters = known, parameters
        self.model: Model = model_of(known, parameters)
        self.index: Index = index_of(known)
        self.memo: Memo = {}
        self.priors: dict[tuple[str, int | None], Prior] = {}

    def prior(self, case: Case) -> Prior:
        region = self.known.region_of(case.region) if case.region else ""
        key = (region, case.month)
        if key not in self.priors:
            self.priors[key] = prior_of(self.known, self.parameters, region=region, month=case.month)
        return self.priors[key]

    def logs(self, case: Case) -> tuple[Logs, int, NDArray[np.int_]]:
        """Log ratios of the taxa, how many findings were used, and on how many each taxon was compared, [T]."""
        kept, _ = usable_findings(self.known, case)
        count = self.model.n_taxa
        steps = steps_of(self.known, self.model, self.parameters, kept, self.memo)
        used = [f for f in kept if f.character != STAGE]
        compared = np.zeros(count, dtype=np.int_)
        for finding in used:
            compared += self.model.tables[finding.character].known[:count]
        return logs_of(self.model, self.parameters, steps, kept), len(used), compared

    def posterior(self, case: Case, logs: Logs) -> Array:
        return self.posterior_with(self.prior(case), logs)

    def posterior_with(self, prior: Prior, logs: Logs) -> Array:
        return posterior_of(self.index, prior, logs)

    def judge(self, specimen: Specimen, *, taken_out: bool) -> Verdict:
        row, case = specimen.row, specimen.case
        prior = self.prior(case)
        logs, used, compared = self.logs(case)
        p = self.posterior(case, logs)
        count = self.model.n_taxa
        taxa, genus = p[:count], int(self.index.genus_of[row])
        best = int(np.argmax(taxa))
        proposal, genera = self.proposed(p, compared, used)
        verdict = Verdict(
            row=row,
            p_true=float(taxa[row]),
            place=figures.rank_of(taxa, row),
            p_best=float(taxa[best]),
            best_right=best == row,
            genus_right=int(np.argmax(genera)) == genus,
            brier=float((p**2).sum() - 2 * taxa[row] + 1),
            rank=rank_code(proposal),
            right=named_right(self.known, proposal, self.index.taxa[row]),
            unjustified=rank_code(proposal) == 0 and best != row,
            held=figures.smallest_set(p),
            usual=self._usual(case, row),
            used=used,
            stranger=float(p[-1]),
        )
        return self._without(verdict, prior, logs, compared) if taken_out else verdict

    def proposed(self, p: Array, compared: NDArray[np.int_], used: int) -> tuple[Proposal, Array]:
        count = self.model.n_taxa
        taxa, others = p[:count], p[count:-1]
        covered = compared[int(np.argmax(taxa))] / used if used else 0.0
        shares = rank_shares(self.known, taxa, others)
        genera = np.bincount(self.index.genus_of, weights=taxa, minlength=len(self.index.genera)) + others
        found = propose(self.known, self.model, self.parameters, taxa=taxa, shares=shares, covered=float(covered))
        return found, genera

    def _without(self, verdict: Verdict, prior: Prior, logs: Logs, compared: NDArray[np.int_]) -> Verdict:
        index, row = self.index, verdict.row
        genus = int(index.genus_of[row])
        family = index.family_of_genus == index.family_of_genus[genus]
        strangers: dict[str, Any] = {}
        for name, genera in (("genus", np.arange(family.size) == genus), ("family", family)):
            strangers[f"stranger_{name}"] = float(posterior_of(index, without(prior, index, genera), logs)[-1])
        if index.genus_counts[genus] < 2:
            return dataclasses.replace(verdict, **strangers)
        p = posterior_of(index, without_taxon(prior, row, genus), logs)
        proposal, _ = self.proposed(p, compared, verdict.used)
        in_genus = rank_code(proposal) == 2 and named_right(self.known, proposal, index.taxa[row])
        return dataclasses.replace(
            verdict,
            **strangers,
            stranger_species=float(p[-1]),
            out_genus=float(in_genus),
            out_bare=float(in_genus and proposal.qualifier == "sp."),
            out_named=float(rank_code(proposal) == 0),
        )

    def _usual(self, case: Case, row: int) -> float:
        """How often this kind, month and region come in, against how often the trial draws them."""
        taxon = self.index.taxa[row]
        places = sum(bool(self.known.regions[r].members) for r in taxon.regions if r in self.known.regions)
        share = self.prior(case).taxa
        return float(share[row] / share.sum() * max(places, 1) * max(len(taxon.months), 1))


def rank_code(proposal: Proposal) -> int:
    """0 a taxon, 1 a declared group, 2 a genus, 3 a family or two genera, 4 a form."""
    if proposal.taxon and proposal.qualifier != "cf.":
        return 0
    return {"species group": 1, "genus": 2, "family": 3, "one of two genera": 3}.get(proposal.rank, 4)


def judge_all(judge: Judge, specimens: Iterable[Specimen], *, taken_out: bool) -> Array:
    """Verdicts as a table, one row per specimen, columns as COLUMNS."""
    rows = [
        [float(getattr(v, name)) for name in COLUMNS] for v in (judge.judge(s, taken_out=taken_out) for s in specimens)
    ]
    return np.array(rows, dtype=np.float64).reshape(len(rows), len(COLUMNS))
