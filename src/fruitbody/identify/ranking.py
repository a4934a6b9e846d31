"""Findings to probabilities: the part of the engine that `identify` and the trial share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import Funga
from fruitbody.identify.index import Index
from fruitbody.identify.likelihood import Evidence, Memo, stage_said
from fruitbody.identify.outside import blurred_logs, blurs_of, relative_logs
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.prior import Prior
from fruitbody.identify.tables import Model

Array = NDArray[np.float64]
STAGE = "stage"


def steps_of(
    funga: Funga, model: Model, parameters: Parameters, findings: Sequence[Finding], memo: Memo | None = None
) -> Array:
    """What each finding adds to the log ratio of every row, [N, R]; what is said of the age is taken first, and has no
    line of its own. memo: see Evidence."""
    kept = [finding for finding in findings if finding.character != STAGE]
    evidence = Evidence(model, parameters, expected=kept, memo=memo)
    for finding in findings:
        if finding.character == STAGE:
            evidence.observe_stage(stage_said(funga.characters[STAGE], parameters, finding))
    logs = [np.zeros(len(model.rows))]
    for finding in kept:
        evidence.add(finding)
        logs.append(evidence.log_ratio())
    return np.diff(np.array(logs), axis=0)


@dataclass(frozen=True, slots=True)
class Logs:
    """ln P(findings) against the background: of each taxon, of an unlisted species or a stranger like it, [T]."""

    own: Array
    relative: Array
    stranger: Array


def logs_of(model: Model, parameters: Parameters, steps: Array, findings: Sequence[Finding]) -> Logs:
    """From the steps of all rows to what the posterior needs. findings: those of the case, as `steps_of` took them."""
    own = steps[:, : model.n_taxa]
    kin, strange = blurs_of(model, parameters, [f.character for f in findings if f.character != STAGE])
    return Logs(own.sum(axis=0), blurred_logs(own, kin), blurred_logs(own, strange))


def posterior_of(index: Index, prior: Prior, logs: Logs) -> Array:
    """Posterior over taxa, one other species of each genus, and a stranger to all, [T + G + 1].

    A taxon of prior 0 takes no part, not even as somebody's relative.
    """
    genus_logs = relative_logs(logs.relative, prior.taxa, index.genus_of, len(index.genera))
    root_log = relative_logs(logs.stranger, prior.taxa, np.zeros(logs.own.size, dtype=np.int_), 1)
    every = np.concatenate([logs.own, genus_logs, root_log])
    priors = np.concatenate([prior.taxa, prior.others, [prior.stranger]])
    weight = np.log(np.maximum(priors, 1e-300)) + every
    weight = np.where(priors > 0, np.exp(weight - weight[priors > 0].max()), 0.0)
    return np.asarray(weight / weight.sum())
