"""What can go wrong with spores.

SporeError            the parent; every message is a whole sentence that says what to do
  MeasurementError    typed or pasted measurements that cannot be used; one sentence per line of the file
  CalibrationError    no scale can be found in the picture of a stage micrometer
  FieldError          a picture in which no spore can be measured: empty, all clumps, something else
"""

from __future__ import annotations

from collections.abc import Sequence


class SporeError(ValueError):
    """Anything about spores that cannot be used as it stands."""


class MeasurementError(SporeError):
    """Measurements that cannot be used. `problems`: one sentence per line of the file."""

    def __init__(self, problems: Sequence[str], *, shown: int = 8) -> None:
        self.problems = tuple(problems)
        more = len(self.problems) - shown
        rest = [f"And {more} more {'line' if more == 1 else 'lines'}."] if more > 0 else []
        super().__init__(" ".join([*self.problems[:shown], *rest]))


class CalibrationError(SporeError):
    """No scale can be found. The message says what picture is wanted."""


class FieldError(SporeError):
    """No spore can be measured in this picture. The message says why and what to do."""
