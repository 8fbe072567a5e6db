from django.apps import AppConfig


class ClipsConfig(AppConfig):
    name = "lessons.clips"
    label = "clips"

    def ready(self) -> None:
        # Models exist only now
        from lessons.clips import intake, shelf, stage
        from lessons.students.slots import DESK_CLIPS
        from lessons.visits import desk
        from portal.files import kinds

        kinds.register("clip", check=intake.check_clip, finish=intake.take_in)
        DESK_CLIPS.fill("clips/_shelf.html", shelf.shelf_context)
        desk.opens_with(stage.opening)
        desk.needs(
            styles=("clips/shelf.css", "clips/player.css", "clips/stage.css", "clips/swings.css"),
            scripts=("clips/clip-upload.js", "clips/clip-player.js"),
        )
