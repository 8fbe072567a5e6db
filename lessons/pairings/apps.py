from django.apps import AppConfig


class PairingsConfig(AppConfig):
    name = "lessons.pairings"
    label = "pairings"

    def ready(self) -> None:
        # Models exist only now
        from lessons.clips.uses import USED_BY
        from lessons.pairings import pages, uses
        from lessons.students.slots import DESK_PAGE, READ_AFTER
        from lessons.visits import desk

        DESK_PAGE.fill("pairings/_desk.html", pages.desk_context, order=30)
        READ_AFTER.fill("pairings/_read.html", pages.read_context, order=-20)
        USED_BY.append(uses.uses)
        desk.needs(
            styles=("pairings/beside.css", "pairings/saved.css"),
            scripts=("pairings/beside.js",),
        )
