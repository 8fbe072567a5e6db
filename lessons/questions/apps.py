from django.apps import AppConfig


class QuestionsConfig(AppConfig):
    name = "lessons.questions"
    label = "questions"

    def ready(self) -> None:
        # Models exist only now
        from lessons.clips.models import ALSO_VISIBLE
        from lessons.pairings.offering import ALSO_OFFERED
        from lessons.questions import check_ins, pages
        from lessons.questions.models import clips_of_student, clips_of_threads
        from lessons.students import slots
        from portal.accounts.models import User
        from portal.files import kinds
        from portal.notices.kinds import register_kind

        ALSO_VISIBLE.append(clips_of_threads)
        ALSO_OFFERED.append(clips_of_student)
        kinds.register("check-in", check=check_ins.check_check_in, finish=check_ins.take_check_in)
        register_kind(
            "reply",
            "Your coach writes",
            "An answer to a question or a clip, or a question of their own.",
            roles=[User.Role.STUDENT, User.Role.GUARDIAN],
        )
        register_kind(
            "question",
            "A student asks",
            "A question, or a check-in clip.",
            roles=[User.Role.COACH],
        )
        slots.READ_AFTER.fill("questions/_read.html", pages.read_questions)
        slots.READ_STILL.fill("questions/_ask_still.html", pages.ask_about_still)
        slots.READ_GIVEN.fill("questions/_ask_given.html", pages.ask_about_given)
        slots.STUDENT_PAGE.fill("questions/_student.html", pages.student_questions, order=30)
        slots.DESK_STILL.fill("questions/_send_still.html", pages.send_still, order=50)
        slots.CLIP_ABOUT.fill("questions/_about_clip.html", pages.about_clip)
