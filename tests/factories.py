"""Rows for tests. Names are plain; the demo's people live in the demo."""

from __future__ import annotations

import datetime

import factory
from django.utils import timezone

from lessons.board.models import NudgeWords, StudentGroup
from lessons.clips.models import Clip, Cut, Still, Swing
from lessons.drills.models import Assignment, Drill
from lessons.marks.models import MarkSet, NamedSet
from lessons.pairings.models import Pairing, PairingSide, SavedPairing
from lessons.paths.models import Path
from lessons.practice.models import Log
from lessons.programmes.models import Aim, Programme
from lessons.recaps.models import Finding, Recap
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from portal.accounts.models import User


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Person {n}")
    email = factory.Sequence(lambda n: f"person{n}@example.org")
    role = User.Role.STUDENT


class CoachFactory(UserFactory):
    name = factory.Sequence(lambda n: f"Coach {n}")
    role = User.Role.COACH


class StudentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Student

    coach = factory.SubFactory(CoachFactory)
    name = factory.Sequence(lambda n: f"Student {n}")
    email = factory.LazyAttribute(lambda o: o.name.lower().replace(" ", "") + "@example.org")
    born = datetime.date(1980, 6, 1)
    user = factory.SubFactory(
        UserFactory, name=factory.SelfAttribute("..name"), email=factory.SelfAttribute("..email")
    )


class JuniorFactory(StudentFactory):
    born = factory.LazyFunction(lambda: timezone.localdate() - datetime.timedelta(days=14 * 365))


class GuardianFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Guardian

    class Params:
        consents = factory.Trait(
            consented_at=factory.LazyFunction(timezone.now),
            consent_text="I agree.",
            consent_given_by="the guardian, signed in",
        )

    student = factory.SubFactory(JuniorFactory)
    name = factory.Sequence(lambda n: f"Guardian {n}")
    email = factory.LazyAttribute(lambda o: o.name.lower().replace(" ", "") + "@example.org")
    user = factory.SubFactory(
        UserFactory,
        role=User.Role.GUARDIAN,
        name=factory.SelfAttribute("..name"),
        email=factory.SelfAttribute("..email"),
    )


class LessonFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Lesson

    class Params:
        posted = factory.Trait(posted_at=factory.LazyFunction(timezone.now))

    student = factory.SubFactory(StudentFactory)
    number = factory.LazyAttribute(lambda o: o.student.lessons.count() + 1)
    date = factory.LazyFunction(timezone.localdate)
    theme = "Turn without the sway"
    next_visit = factory.LazyAttribute(lambda o: o.date + datetime.timedelta(days=28))


class ClipFactory(factory.django.DjangoModelFactory):
    """A clip's row; `ready=True` gives the fields of a prepared one, without files."""

    class Meta:
        model = Clip

    class Params:
        ready = factory.Trait(
            state=Clip.State.READY,
            width_px=1280,
            height_px=720,
            duration_us=3_000_000,
            progress_permille=1000,
        )

    lesson = factory.SubFactory(LessonFactory)
    coach = factory.LazyAttribute(lambda o: o.lesson.student.coach)
    file_name = "swing.mov"


class StillFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Still

    clip = factory.SubFactory(ClipFactory, ready=True)
    time_us = factory.Sequence(lambda n: 100_000 * n)


class CutFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Cut

    clip = factory.SubFactory(ClipFactory, ready=True)
    begin_us = 0
    end_us = factory.SelfAttribute("clip.duration_us")


class SwingFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Swing

    clip = factory.SubFactory(ClipFactory, ready=True)
    begin_us = 500_000
    top_us = 1_250_000
    strike_us = 1_500_000
    finish_us = 2_200_000
    frame_us = 16_667
    by = Swing.By.SOUND


class DrillFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Drill

    coach = factory.SubFactory(CoachFactory)
    name = factory.Sequence(lambda n: f"Drill {n}")
    sets = 3
    reps = 10


class AssignmentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Assignment

    lesson = factory.SubFactory(LessonFactory, posted=True)
    name = factory.Sequence(lambda n: f"Given drill {n}")
    sets = 3
    reps = 10
    days_a_week = 5


class RecapFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Recap

    lesson = factory.SubFactory(LessonFactory)
    main_point = "Turn around the trail hip"


class FindingFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Finding

    recap = factory.SubFactory(RecapFactory)
    what = "The hips slide away from the target going back"


class LogFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Log

    assignment = factory.SubFactory(AssignmentFactory)
    day = factory.LazyFunction(timezone.localdate)


class PairingFactory(factory.django.DjangoModelFactory):
    """Two swings of two clips of a lesson, side by side; rows without files."""

    class Meta:
        model = Pairing
        skip_postgeneration_save = True

    lesson = factory.SubFactory(LessonFactory)
    sides = factory.RelatedFactoryList(
        "tests.factories.PairingSideFactory", factory_related_name="pairing", size=2
    )


class PairingSideFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = PairingSide

    pairing = factory.SubFactory(PairingFactory, sides=None)
    order = factory.Sequence(int)
    swing = factory.SubFactory(
        SwingFactory, clip__lesson=factory.SelfAttribute("...pairing.lesson")
    )
    clip = factory.SelfAttribute("swing.clip")


class SavedPairingFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = SavedPairing

    pairing = factory.SubFactory(PairingFactory)
    kind = SavedPairing.Kind.PICTURE
    recipe = factory.LazyFunction(
        lambda: {"sides": [{"caption": "start"}, {"caption": "end"}], "words": "", "at": "P7"}
    )


class MarkSetFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = MarkSet

    still = factory.SubFactory(StillFactory)


class PathFactory(factory.django.DjangoModelFactory):
    """A patch boxed at the begin of its swing; `ready=True` has it drift to the right."""

    class Meta:
        model = Path

    class Params:
        ready = factory.Trait(
            state=Path.State.READY,
            progress_permille=1000,
            places=factory.LazyAttribute(
                lambda o: [
                    [t, 600 + (t - o.begin_us) / 100_000, 200.0, 0.9, 1.0, 3.0]
                    for t in range(o.begin_us, o.end_us + 1, 16_667)
                ]
            ),
        )

    swing = factory.SubFactory(SwingFactory)
    clip = factory.SelfAttribute("swing.clip")
    begin_us = factory.SelfAttribute("swing.begin_us")
    end_us = factory.SelfAttribute("swing.finish_us")
    boxes = factory.LazyAttribute(
        lambda o: [{"time_us": o.begin_us, "x": 600, "y": 200, "width": 100, "height": 120}]
    )


class NamedSetFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = NamedSet

    coach = factory.SubFactory(CoachFactory)
    name = factory.Sequence(lambda n: f"Lines {n}")
    marks = factory.LazyFunction(list)
    width_px = 640
    height_px = 480


class NudgeWordsFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = NudgeWords

    coach = factory.SubFactory(CoachFactory)
    name = factory.Sequence(lambda n: f"Words {n}")
    text = "One set counts."


class StudentGroupFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = StudentGroup

    coach = factory.SubFactory(CoachFactory)
    name = factory.Sequence(lambda n: f"Group {n}")


class ProgrammeFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Programme

    student = factory.SubFactory(StudentFactory)
    title = factory.Sequence(lambda n: f"Programme {n}")
    lessons_planned = 6
    begins_on = factory.LazyFunction(timezone.localdate)


class AimFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Aim

    programme = factory.SubFactory(ProgrammeFactory)
    words = factory.Sequence(lambda n: f"Aim {n}")
