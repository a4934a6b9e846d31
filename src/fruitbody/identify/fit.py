"""Does even the best candidate fit? An index free of the prior (engine §1.11)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fruitbody.examine.finding import Finding
from fruitbody.identify.measure_reports import reading_of
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.readings import observer_class
from fruitbody.identify.tables import MeasureTable, Model, StateTable

UNUSUALLY_BAD = -3.0


def fit_index(model: Model, row: int, findings: Sequence[Finding], parameters: Parameters) -> float | None:
    """Σ[ln P(o|t̂) − E] / √ΣVar over single findings on characters that the taxon knows; None where there are none.

    E and Var are over what the same observer might have reported of this taxon. Below −3: it fits unusually badly.
    """
    surprise, variance = 0.0, 0.0
    for finding in findings:
        table = model.tables[finding.character]
        if not table.known[row]:
            continue
        if isinstance(table, StateTable) and len(finding.states) == 1 and not finding.negated:
            shares = table.p[:, row].mean(axis=0) @ table.readings[observer_class(finding)]
            logs = np.log(np.maximum(shares, 1e-12))
            mean = float(shares @ logs)
            surprise += float(logs[table.states.index(finding.states[0])]) - mean
            variance += float(shares @ (logs - mean) ** 2)
        elif isinstance(table, MeasureTable) and finding.measured is not None and finding.measured.high is None:
            reading = reading_of(table, finding, parameters)
            sd2 = (parameters.kappa * float(table.sigma[row])) ** 2 + reading.u**2
            surprise += 0.5 - 0.5 * (reading.ln_x - float(table.mu[row])) ** 2 / sd2
            variance += 0.5
    return surprise / float(np.sqrt(variance)) if variance > 0 else None
