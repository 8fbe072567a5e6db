from django.apps import AppConfig


class PathsConfig(AppConfig):
    name = "lessons.paths"
    label = "paths"

    def ready(self) -> None:
        # Models exist only now
        from lessons.clips.uses import USED_BY
        from lessons.paths import showing, uses
        from lessons.students.slots import DESK_CLIP, DESK_PAGE, DESK_STILL, READ_AFTER
        from lessons.visits import desk

        DESK_CLIP.fill("paths/_clip.html", showing.clip_context)
        DESK_STILL.fill("paths/_still.html", showing.still_context)
        DESK_PAGE.fill("paths/_page.html", showing.page_context, order=21)
        READ_AFTER.fill("paths/_read_paths.html", showing.read_context, order=-5)

        USED_BY.append(uses.uses)
        desk.needs(styles=("paths/read.css", "paths/paths.css"), scripts=("paths/path-viewer.js",))
