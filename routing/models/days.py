import uuid

from django.db import models

from inventory.fields import SentenceField


class Day(models.Model):
    """One date's delivering: a draft plan that is adjusted, then committed."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        DRAFT = "draft", "planned, not committed"
        FIXED = "fixed", "committed"
        DONE = "done", "done"

    on = models.DateField(unique=True)
    state = models.CharField(max_length=6, choices=State, default=State.OPEN)
    note = models.CharField(max_length=300, blank=True)
    cost_cents = models.BigIntegerField(null=True, blank=True)
    lower_bound_cents = models.BigIntegerField(null=True, blank=True)
    gap_percent = models.DecimalField(  # above the bound of all days planned with it; none: no bound
        max_digits=7, decimal_places=3, null=True, blank=True
    )
    proof = models.CharField(max_length=20, blank=True)  # optimal, bounded, heuristic, hand
    engine = models.CharField(max_length=120, blank=True)
    is_estimate = models.BooleanField(default=False)
    postponed = models.JSONField(default=list, blank=True)  # [{order, reason}]
    version = models.PositiveIntegerField(default=0)  # grows with every change of the plan
    undo = models.JSONField(default=list, blank=True)  # plans before the last steps, newest last
    redo = models.JSONField(default=list, blank=True)  # plans taken back, newest last
    planned_at = models.DateTimeField(null=True, blank=True)
    committed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-on"]

    def __str__(self) -> str:
        return f"{self.on}"


class PlanJob(models.Model):
    """A planning under way: its progress, and the wish to stop it."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        RUNNING = "running", "running"
        DONE = "done", "done"
        STOPPED = "stopped", "stopped, best kept"
        FAILED = "failed", "could not plan"

    key = models.UUIDField(default=uuid.uuid4, unique=True)
    first_on = models.DateField()
    last_on = models.DateField()
    orders = models.JSONField(default=list)  # numbers; empty = all that may go
    options = models.JSONField(default=dict, blank=True)  # rigs, hours and who asked, for `plan_day`
    seconds = models.PositiveSmallIntegerField(default=10)
    seed = models.PositiveIntegerField(default=1)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    stop_asked = models.BooleanField(default=False)
    best_cents = models.BigIntegerField(null=True, blank=True)
    bound_cents = models.BigIntegerField(null=True, blank=True)
    progress = models.JSONField(default=list, blank=True)  # [[seconds, best, bound], ...]
    message = SentenceField(blank=True)
    made_at = models.DateTimeField()
    heard_at = models.DateTimeField(
        null=True, blank=True
    )  # the worker's last sign of life, by the wall clock
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"plan {self.first_on} {self.state}"
