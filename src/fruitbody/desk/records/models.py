"""What is never changed: the history, and the series from which clinic numbers are drawn.

Belongs here: append-only records of what was done. Does not belong here: the state of anything.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models


class AppendOnlyError(RuntimeError):
    """Something tried to change or delete an entry of the history."""


class HistoryEntry(models.Model):
    """One change of state, written in the same transaction as the change itself."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    by_words = models.CharField(max_length=120, help_text="Who did it, as text: a name, or 'the finder'.")
    submission = models.ForeignKey(
        "submissions.Submission", null=True, on_delete=models.PROTECT, related_name="history"
    )
    subject = models.CharField(max_length=40, help_text="What kind of thing changed: kind, finding, report ...")
    subject_id = models.BigIntegerField(null=True)
    action = models.CharField(max_length=40, help_text="What was done, as a verb: received, split, issued ...")
    words = models.TextField(help_text="A sentence a person can read.")
    data = models.JSONField(default=dict)

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "history entries"

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.words}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise AppendOnlyError("A history entry is never changed. Write a new one that says what is corrected.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise AppendOnlyError("A history entry is never deleted.")


class NameChange(models.Model):
    """What an updated checklist says otherwise than the funga, and what a person decided. Decided once, then kept."""

    class State(models.TextChoices):
        PROPOSED = "proposed", "to be decided"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"

    taxon = models.CharField(max_length=80, help_text="Id in the funga.")
    kind = models.CharField(max_length=10, help_text="rename, split, apart, family")
    old = models.CharField(max_length=160, help_text="The name it had when the change was proposed.")
    names = models.JSONField(default=list, help_text="The new name, or every name that a split left.")
    authority = models.CharField(max_length=200, blank=True)
    family = models.CharField(max_length=80, blank=True)
    according_to = models.CharField(max_length=300)
    words = models.TextField(help_text="A sentence a person can read.")
    source = models.CharField(max_length=200, help_text="The checklist's file.")
    sha256 = models.CharField(max_length=64, help_text="Digest of that file.")
    proposed_at = models.DateTimeField()
    proposed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=10, choices=State.choices, default=State.PROPOSED, db_index=True)
    decided_at = models.DateTimeField(null=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.words


class NumberSeries(models.Model):
    """The last clinic number given out in a year; locked while the next one is drawn."""

    year = models.PositiveSmallIntegerField(primary_key=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.year}: {self.last}"
