from django.apps import AppConfig


class DrillsConfig(AppConfig):
    name = "lessons.drills"
    label = "drills"

    def ready(self) -> None:
        # Models exist only now
        from lessons.clips.models import ALSO_VISIBLE
        from lessons.drills import clips
        from lessons.drills.models import clips_of_given_drills
        from portal.files import kinds

        ALSO_VISIBLE.append(clips_of_given_drills)
        kinds.register("drill-clip", check=clips.check_drill_clip, finish=clips.take_drill_clip)
