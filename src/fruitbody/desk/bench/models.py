"""Bag, kind, fruit body; what was seen of them (findings) and concluded (determinations).

A kind exists from the moment it is announced; a bag from the moment it is opened at the clinic.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models

USER = settings.AUTH_USER_MODEL


class Box(models.Model):
    """A parcel as it came through the door; an agent's box holds bags of several submissions."""

    clinic_number = models.CharField(max_length=20, unique=True)
    received_at = models.DateTimeField(db_index=True)
    received_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    carrier = models.CharField(max_length=60, blank=True)
    origin_region = models.CharField(max_length=10, blank=True, help_text="ISO 3166-2")
    permit = models.CharField(max_length=60, blank=True)
    shut = models.BooleanField(default=False, help_text="Stays shut until a supervisor decides.")
    note = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.clinic_number


class Bag(models.Model):
    """A bag as received. It may hold several kinds."""

    submission = models.ForeignKey("submissions.Submission", on_delete=models.PROTECT, related_name="bags")
    box = models.ForeignKey(Box, null=True, blank=True, on_delete=models.PROTECT, related_name="bags")
    clinic_number = models.CharField(max_length=20, unique=True)
    finder_label = models.CharField(max_length=40, blank=True, help_text="As written on the bag.")
    received_at = models.DateTimeField(db_index=True)
    received_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    place = models.CharField(max_length=80, blank=True, help_text="Where it is kept now.")
    conditions = models.JSONField(default=list, help_text="Ids of conditions at receipt (materials.toml).")
    hood = models.BooleanField(default=False)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.clinic_number


class Kind(models.Model):
    """One kind of mushroom in a submission, under the finder's own label. It gets a name."""

    submission = models.ForeignKey("submissions.Submission", on_delete=models.PROTECT, related_name="kinds")
    bag = models.ForeignKey(Bag, null=True, blank=True, on_delete=models.PROTECT, related_name="kinds")
    clinic_number = models.CharField(max_length=20, unique=True, null=True, blank=True)
    finder_label = models.CharField(max_length=40, help_text="The submitter's own label; never changed.")
    split_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="split_into")
    merged_into = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="merged_from")
    material = models.CharField(max_length=30, default="fresh-whole", help_text="Kind of material (materials.toml).")
    conditions = models.JSONField(default=list, help_text="Ids of conditions (materials.toml).")
    fruit_bodies = models.PositiveSmallIntegerField(null=True, blank=True)
    finder_note = models.TextField(blank=True)
    kept = models.CharField(max_length=20, blank=True, help_text="voucher, passed on, destroyed")
    kept_place = models.CharField(max_length=80, blank=True)
    fold_drawn = models.FloatField(default=0.0, help_text="Drawn once, 0 to 1: is this kind in the folded share?")
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.clinic_number or f"{self.submission} {self.finder_label}"


class Finding(models.Model):
    """Something seen, by whom, on what. A correction is a new entry that says what it replaces."""

    kind = models.ForeignKey(Kind, on_delete=models.PROTECT, related_name="findings")
    character = models.CharField(max_length=40, db_index=True)
    value = models.JSONField(null=True, help_text="A state, a list of states, a number, [low, high], or null.")
    answer = models.CharField(max_length=20, default="present", help_text="Answer kind (examine.finding.Answer).")
    negated = models.BooleanField(default=False)
    each = models.BooleanField(default=False)
    fruit_body = models.CharField(max_length=8, blank=True)
    part = models.CharField(max_length=40, blank=True)
    stage = models.CharField(max_length=20, blank=True)
    moisture = models.CharField(max_length=20, blank=True, help_text="fresh, dried, soaked ...")
    seen_on = models.CharField(max_length=10, default="material", help_text="material, photo or told")
    by_role = models.CharField(max_length=20, help_text="finder, front-desk, diagnostician, second-reader, outside")
    by = models.ForeignKey(USER, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    method = models.CharField(max_length=60, blank=True)
    instrument = models.CharField(max_length=60, blank=True)
    reference = models.CharField(max_length=60, blank=True)
    uncertainty = models.FloatField(null=True, blank=True, help_text="Expanded (k = 2), unit of the character.")
    n = models.PositiveIntegerField(null=True, blank=True, help_text="How many were measured.")
    why = models.CharField(max_length=200, blank=True, help_text="Why it could not be told or seen.")
    note = models.TextField(blank=True)
    photo = models.ForeignKey("submissions.Photo", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    photo_place = models.JSONField(null=True, blank=True, help_text="Line or patch on the photo, pixels.")
    detail = models.JSONField(default=dict, help_text="Reagent record, spore list, soft evidence.")
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.character}: {self.value}"


class Determination(models.Model):
    """A name given to a kind, with its certainty and what it rests on."""

    kind = models.ForeignKey(Kind, on_delete=models.PROTECT, related_name="determinations")
    taxon = models.CharField(max_length=80, blank=True, help_text="Id in the funga, if it stands there.")
    name = models.CharField(max_length=160)
    rank = models.CharField(max_length=30)
    qualifier = models.CharField(max_length=10, blank=True, help_text="sp., cf., aff., gr., ?")
    according_to = models.CharField(max_length=200, blank=True)
    certainty = models.CharField(max_length=20, default="likely", help_text="certain, likely, open")
    basis = models.TextField(blank=True)
    by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    by_role = models.CharField(max_length=20)
    at = models.DateTimeField()
    ranking_seen = models.BooleanField(
        default=False, help_text="Had the ranking been opened before the name was written?"
    )
    blind = models.BooleanField(default=False, help_text="Written without seeing the first name.")
    outcome = models.CharField(max_length=10, blank=True, help_text="Second reading: same, wider, narrower, different")
    not_excluded = models.JSONField(default=list)
    proposal = models.JSONField(default=dict, help_text="What the engine proposed at that moment.")
    replaces = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.name} {self.qualifier}".strip()


class RankingSeen(models.Model):
    """When a reader unfolded what fits for a kind."""

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="ranking_seen")
    by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.kind} by {self.by}"


class Preparation(models.Model):
    """Something laid or started that needs time: print, drying, mount, culture, sequence."""

    kind = models.ForeignKey(Kind, on_delete=models.PROTECT, related_name="preparations")
    what = models.CharField(max_length=20)
    fruit_body = models.CharField(max_length=8, blank=True)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    due_at = models.DateTimeField(db_index=True)
    place = models.CharField(max_length=80, blank=True)
    result = models.TextField(blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_at"]

    def __str__(self) -> str:
        return f"{self.what} of {self.kind}"


class Hold(models.Model):
    """A reason why something may not be named, discarded, erased or handed on."""

    class Reason(models.TextChoices):
        REGULATED = "regulated", "Regulated suspect: name masked until official release"
        LEGAL = "legal", "Legal hold: no erasure, no discard"
        CUSTODY = "custody", "Chain of custody"
        CONTROLLED = "controlled", "Controlled species"

    submission = models.ForeignKey("submissions.Submission", on_delete=models.PROTECT, related_name="holds")
    kind = models.ForeignKey(Kind, null=True, blank=True, on_delete=models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=12, choices=Reason.choices)
    words = models.TextField()
    placed_by = models.ForeignKey(USER, on_delete=models.PROTECT, related_name="+")
    placed_at = models.DateTimeField()
    released_by = models.ForeignKey(USER, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    released_at = models.DateTimeField(null=True, blank=True)
    released_words = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.reason} on {self.kind or self.submission}"


class Task(models.Model):
    """Something a person has to do by a time; a contact task is closed only by a spoken contact."""

    submission = models.ForeignKey("submissions.Submission", on_delete=models.CASCADE, related_name="tasks")
    kind = models.ForeignKey(Kind, null=True, blank=True, on_delete=models.CASCADE, related_name="tasks")
    what = models.CharField(max_length=30, help_text="call, contact, look, send")
    words = models.CharField(max_length=300)
    due_at = models.DateTimeField(db_index=True)
    needs_voice = models.BooleanField(default=False)
    opened_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(USER, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    done_words = models.TextField(blank=True)

    class Meta:
        ordering = ["due_at"]

    def __str__(self) -> str:
        return self.words
