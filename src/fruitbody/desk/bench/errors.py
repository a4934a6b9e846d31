"""Errors of the bench, told to people as whole sentences.

ReceivingError       something that came in cannot be kept as asked
    ShutError        the parcel has to stay shut
LineageError         a split or merge that cannot be
"""

from __future__ import annotations


class ReceivingError(ValueError):
    """What was asked for a parcel, bag or kind cannot be done. The message says what to do instead."""


class ShutError(ReceivingError):
    """The parcel has to stay shut until a supervisor decides."""


class LineageError(ValueError):
    """A split or merge that cannot be. The message says why."""
