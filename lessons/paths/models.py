"""A patch that a coach boxed, and where it went."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from lessons.clips.models import Clip, Still, Swing
from lessons.paths.scale import Ruler
from portal.accounts.models import User
from portal.work.models import WorkRow

Box = dict[str, float]
Place = list[float | None]
MOST_BOXES = 60  # of one path


class PathQuerySet(models.QuerySet["Path"]):
    def visible_to(self, user: User | AnonymousUser) -> PathQuerySet:
        """A coach's own, and what is in the recap of a lesson that the user sees."""
        if not isinstance(user, User):
            return self.none()
        clips = Clip.objects.visible_to(user)
        return self.current().filter(Q(clip__coach=user) | Q(in_recap=True), clip__in=clips)

    def led_by(self, user: User | AnonymousUser) -> PathQuerySet:
        """What the coach's own pages load, removed ones too; nobody else finds anything here."""
        return self.filter(clip__in=Clip.objects.led_by(user).current())

    def current(self) -> PathQuerySet:
        return self.filter(removed_at__isnull=True)

    def ready(self) -> PathQuerySet:
        return self.filter(state=Path.State.READY)


class Path(WorkRow):
    """Where a patch went, frame by frame, from the boxes that a coach drew.

    Places are in pixels of the clip's cuts (`Clip.width_px` by `Clip.height_px`), times on the
    clip's clock. `boxes`: the first as it was drawn, then what was set right, each {"time_us",
    "x", "y", "width", "height"} with the middle at x, y. `places`: one for each frame from
    `begin_us` to `end_us`, [time_us, x, y, confidence, scale, error_px]; all but time and
    confidence null where the patch was not found. `error_px`: the place's plus-or-minus.
    """

    class What(models.TextChoices):
        HEAD = "head", "head"
        GRIP = "grip", "grip"
        HIP = "hip", "hip"
        OTHER = "other", "something else"

    class State(models.TextChoices):
        WANTED = "wanted"
        FOLLOWING = "following"
        READY = "ready"
        FAILED = "failed"

    WAITING, RUNNING = State.WANTED, State.FOLLOWING
    DONE, FAILED = State.READY, State.FAILED

    clip = models.ForeignKey(Clip, models.CASCADE, related_name="paths")
    # The positions to read it at are those of this swing; without one only times are known
    swing = models.ForeignKey(Swing, models.SET_NULL, null=True, related_name="paths")
    # What the trace is drawn on for the student
    still = models.ForeignKey(Still, models.SET_NULL, null=True, related_name="paths")
    what = models.CharField(max_length=5, choices=What, default=What.HEAD)
    name = models.CharField(max_length=40, blank=True)
    begin_us = models.PositiveBigIntegerField()
    end_us = models.PositiveBigIntegerField()
    boxes = models.JSONField(default=list)
    places = models.JSONField(default=list)
    # Counts how often the boxes were changed
    version = models.PositiveIntegerField(default=0)
    in_recap = models.BooleanField(default=False)
    # What the recap tells centimetres by: kept as it was when the path was put there, so that a
    # ruler tried on some other still does not change what the student reads. None: box widths
    cm_per_px = models.FloatField(null=True)
    cm_share = models.FloatField(default=0.0)
    ruler_still = models.ForeignKey(Still, models.SET_NULL, null=True, related_name="ruled_paths")

    state = models.CharField(max_length=10, choices=State, default=State.WANTED)
    reason = models.TextField(blank=True)
    may_pass_later = models.BooleanField(default=False)
    progress_permille = models.PositiveSmallIntegerField(default=0)
    began_at = models.DateTimeField(null=True)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    objects = PathQuerySet.as_manager()

    class Meta:
        ordering = ["clip_id", "begin_us", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(end_us__gt=F("begin_us")), name="a_path_goes_on")
        ]

    def __str__(self) -> str:
        return f"path of {self.title} in {self.clip} ({self.state})"

    @property
    def title(self) -> str:
        """What was followed: 'Head', or the coach's own word."""
        return (self.name or self.get_what_display()).capitalize()

    @property
    def boxed_s(self) -> float:
        """When it was boxed first, in seconds of its clip as it was in life."""
        return self.boxes[0]["time_us"] / 1e6 / self.clip.slowdown

    @property
    def is_ready(self) -> bool:
        return self.state == Path.State.READY

    @property
    def percent(self) -> int:
        return self.progress_permille // 10

    @property
    def is_corrected(self) -> bool:
        return len(self.boxes) > 1

    @property
    def kept_ruler(self) -> Ruler | None:
        """What the recap tells centimetres by."""
        if self.cm_per_px is None:
            return None
        return Ruler(self.ruler_still, self.cm_per_px, self.cm_share)

    def keep_ruler(self, ruler: Ruler | None) -> None:
        """Tell centimetres by this one in the recap; None: box widths."""
        self.ruler_still = ruler.still if ruler else None
        self.cm_per_px = ruler.cm_per_px if ruler else None
        self.cm_share = ruler.share if ruler else 0.0
        self.save(update_fields=["ruler_still", "cm_per_px", "cm_share"])

    def put_boxes(self, boxes: list[Box], version: int) -> bool:
        """Have these boxes followed if the kept ones are still those of `version`.

        A worker that follows the old ones loses its lease; the row has all its attempts again.
        """
        found = Path.objects.filter(pk=self.pk, removed_at__isnull=True, version=version)
        done = found.update(
            boxes=boxes,
            version=F("version") + 1,
            state=Path.State.WANTED,
            lease_token=None,
            lease_until=None,
            reason="",
            may_pass_later=False,
            attempts=0,
            progress_permille=0,
            began_at=None,
            sent_at=None,
        )
        self.refresh_from_db()
        return bool(done)

    def remove(self) -> bool:
        """Take it off every page; it can be brought back."""
        current = Path.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(current.update(removed_at=timezone.now()))

    def bring_back(self) -> bool:
        """Undo `remove`."""
        removed = Path.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(removed.update(removed_at=None))
