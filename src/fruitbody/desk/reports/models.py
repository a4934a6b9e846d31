"""What was told: report versions with their bytes, and words said by telephone."""

from __future__ import annotations

from django.conf import settings
from django.db import models

USER = settings.AUTH_USER_MODEL


class ReportVersion(models.Model):
    """One version of the report on a submission. Issued versions never change."""

    submission = models.ForeignKey("submissions.Submission", on_delete=models.PROTECT, related_name="reports")
    version = models.PositiveSmallIntegerField()
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    letter = models.JSONField(default=dict, help_text="What the writer typed: answer, meaning and note per kind.")
    content = models.JSONField(default=dict, help_text="The whole content as issued; empty while a draft.")
    pdf = models.FileField(upload_to="reports/%Y/", blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    issued_at = models.DateTimeField(null=True, blank=True)
    issued_by = models.ForeignKey(USER, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    supersedes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by"
    )
    changed = models.TextField(blank=True, help_text="What changed against the version before, and why.")
    second_reading = models.CharField(max_length=20, default="none", help_text="none, before, after, waived")
    second_reading_note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["submission", "version"]
        constraints = [models.UniqueConstraint(fields=["submission", "version"], name="one_report_per_version")]

    def __str__(self) -> str:
        return f"{self.submission} v{self.version}"


class Spoken(models.Model):
    """Words said or tried by telephone or at the counter, kept as they were said."""

    submission = models.ForeignKey("submissions.Submission", on_delete=models.PROTECT, related_name="spoken")
    report = models.ForeignKey(ReportVersion, null=True, blank=True, on_delete=models.PROTECT, related_name="spoken")
    to_name = models.CharField(max_length=120)
    phone = models.CharField(max_length=20, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    reached = models.BooleanField(default=False)
    words = models.TextField()
    read_back = models.BooleanField(default=False)
    preliminary = models.BooleanField(default=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.to_name}"
