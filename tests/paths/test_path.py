"""A path's page: GET /paths/<pk>/."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path as FilePath

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Cut
from lessons.marks.service import save_marks
from lessons.paths.models import Path
from media_tools.follow import SURE
from tests import factories
from tests.marks.conftest import line, make_still
from tests.paths.conftest import STAGE


def address(path: Path) -> str:
    return reverse("paths:path", args=[path.pk])


def page_of(client: Client, path: Path) -> str:
    return client.get(address(path)).content.decode()


def test_it_says_how_far_the_patch_went_in_the_trades_words(as_coach: Client, path: Path):
    page = page_of(as_coach, path)
    assert "Head followed" in page
    assert "toward the target" in page
    assert "near P7" in page
    assert "In every frame from P1 to P10." in " ".join(page.split())
    assert "shows no depth" in page


def test_a_left_handed_player_goes_the_other_way(as_coach: Client, path: Path):
    student = path.clip.lesson.student
    student.handed = "left"
    student.save()
    assert "away from the target" in page_of(as_coach, path)


def test_centimetres_are_told_only_where_a_length_is_known(as_coach: Client, path: Path):
    assert "mark a known length" in page_of(as_coach, path)
    assert " cm" not in page_of(as_coach, path)
    still = make_still(path.clip.lesson, clip=path.clip)
    ruler = line(id="ru", kind="ruler", points=[[100, 100], [400, 100]], length_mm=900)
    save_marks(still, 0, [ruler])
    page = page_of(as_coach, path)
    assert " cm" in page
    assert "as far from the camera as the known length lay" in page


def test_a_gap_is_said_as_a_gap(as_coach: Client, path: Path):
    places = [
        [row[0], None, None, 0.2, None, None] if 1_000_000 < row[0] < 1_200_000 else row
        for row in path.places
    ]
    Path.objects.update(places=places)
    page = page_of(as_coach, path)
    assert "Lost:" in page
    assert "Nothing is filled in there." in page
    assert "not found here" in page
    assert 'class="path-gap"' in page


def test_a_gap_up_to_the_end_is_said_so(as_coach: Client, path: Path):
    lost = [
        [t, None, None, 0.0, None, None] if t > 1_000_000 else row
        for row in path.places
        for t in row[:1]
    ]
    Path.objects.update(places=lost)
    page = page_of(as_coach, path)
    assert "Lost from 0.50 s after P1 to the end" in page
    assert "as far as it was found" in page


def lost_after(path: Path, time_us: int) -> None:
    """The patch is not found from then on."""
    rows = [
        [row[0], None, None, 0.0, None, None] if row[0] > time_us else row for row in path.places
    ]
    Path.objects.update(places=rows)


def test_where_most_is_lost_it_says_so_first_and_claims_nothing(as_coach: Client, path: Path):
    lost_after(path, path.begin_us + 250_000)
    page = page_of(as_coach, path)
    assert page.index("Lost from ") < page.index('class="path-picture"')
    assert "Next lost frame" in page
    assert "Too little of the way up to impact is known" in page
    assert "Up to " not in page
    assert 'class="path-wall"' not in page
    assert 'class="path-plot"' in page
    frames = len([row for row in path.places if row[0] <= path.end_us])
    assert f"In 15 of {frames} frames from P1 to P10" in " ".join(page.split())


def test_it_leads_to_the_begin_of_a_gap_and_to_the_positions_in_it(as_coach: Client, path: Path):
    lost_after(path, 1_000_000)
    page = page_of(as_coach, path)
    found = re.search(r'data-lost="([\d ]+)"', page)
    assert found
    stops = [int(time) for time in found[1].split()]
    assert stops[0] == next(row[0] for row in path.places if row[0] > 1_000_000)
    swing = path.swing
    assert swing
    assert any(swing.strike_us - 16_667 < stop <= swing.strike_us for stop in stops)
    assert stops[-1] == path.places[-1][0]  # the frame shown at P10


def test_lost_before_p1_alone_it_leads_nowhere(as_coach: Client, path: Path):
    assert path.swing
    path.swing.begin_us += 200_000
    path.swing.save()
    rows = [[row[0], None, None, 0.0, None, None] for row in path.places[:4]] + path.places[4:]
    Path.objects.update(places=rows)
    page = page_of(as_coach, path)
    assert "Lost: before P1." in page
    assert "data-lost" not in page


def test_it_says_where_it_is_unsure(as_coach: Client, path: Path):
    Path.objects.update(places=[[*row[:3], 0.55, 1.0, 9.0] for row in path.places])
    page = page_of(as_coach, path)
    assert "dotted" in page
    assert "data-unsure" in page


def test_a_patch_found_nowhere_is_said_so(as_coach: Client, path: Path):
    Path.objects.update(places=[[row[0], None, None, 0.0, None, None] for row in path.places])
    assert "not found in any frame" in page_of(as_coach, path)


def test_without_a_swing_it_is_read_over_time_alone(as_coach: Client, path: Path):
    Path.objects.update(swing=None)
    page = page_of(as_coach, path)
    assert "where it was first found" in page
    assert "Position by position" not in page


def test_a_swing_that_was_removed_says_no_positions(as_coach: Client, path: Path):
    assert path.swing is not None
    path.swing.remove()
    assert "Position by position" not in page_of(as_coach, path)


def test_it_asks_again_while_a_worker_is_at_it(as_coach: Client, path: Path):
    Path.objects.update(state=Path.State.FOLLOWING, progress_permille=420)
    page = page_of(as_coach, path)
    assert "42 %" in page
    assert 'hx-trigger="every 1s"' in page
    assert "<path-viewer" not in page


def test_it_says_why_it_failed(as_coach: Client, path: Path):
    Path.objects.update(state=Path.State.FAILED, reason="All of one shade.")
    page = page_of(as_coach, path)
    assert "All of one shade." in page
    assert "Try again" not in page
    Path.objects.update(may_pass_later=True)
    assert "Try again" in page_of(as_coach, path)


def test_the_desk_swaps_the_stage_alone(as_coach: Client, path: Path):
    page = as_coach.get(address(path), headers=STAGE).content.decode()
    assert "<path-viewer" in page
    assert "<html" not in page


def test_the_clip_and_its_stills_lead_to_it(as_coach: Client, path: Path):
    still = make_still(path.clip.lesson, clip=path.clip)
    clip_page = as_coach.get(reverse("clips:clip", args=[path.clip_id])).content.decode()
    still_page = as_coach.get(reverse("marks:still", args=[still.pk])).content.decode()
    for page in (clip_page, still_page):
        assert f'href="{address(path)}"' in page
        assert "Follow a patch" in page


def test_paths_of_one_name_are_told_apart(as_coach: Client, path: Path):
    """By number in the order in which they were begun, and by where they were boxed."""
    first = {**path.boxes[0], "time_us": 766_667}
    factories.PathFactory(swing=path.swing, clip=path.clip, ready=True, boxes=[first])
    factories.PathFactory(swing=path.swing, clip=path.clip, ready=True, what=Path.What.HIP)
    for address in (
        reverse("clips:clip", args=[path.clip_id]),
        reverse("visits:desk", args=[path.clip.lesson_id]),
    ):
        page = as_coach.get(address).content.decode()
        assert "Head 1" in page
        assert "Head 2" in page
        assert "boxed at 0.50 s" in page
        assert "boxed at 0.77 s" in page
        assert "Hip 1" not in page


def test_a_path_of_the_library_has_a_page_of_its_own(as_coach: Client, coach: object):
    clip = factories.ClipFactory(lesson=None, coach=coach, ready=True)
    factories.CutFactory(clip=clip, state=Cut.State.READY)
    path = factories.PathFactory(swing=factories.SwingFactory(clip=clip), ready=True)
    page = page_of(as_coach, path)
    assert "<path-viewer" in page
    assert "<lesson-desk" not in page
    assert "In the recap" not in page


def test_a_name_is_shown_as_it_was_typed(as_coach: Client, path: Path):
    Path.objects.update(what=Path.What.OTHER, name="<b>knee")
    page = page_of(as_coach, path)
    assert "&lt;b&gt;knee followed" in page


@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: pytest.FixtureRequest, path: Path, who: str):
    assert request.getfixturevalue(who).get(address(path)).status_code == 404


def test_it_refuses_other_methods_and_nobody(as_coach: Client, as_nobody: Client, path: Path):
    assert as_coach.post(address(path)).status_code == 405
    assert as_nobody.get(address(path)).status_code == 302


def test_without_a_cut_it_can_be_read_but_not_set_right(as_coach: Client, path: Path):
    path.clip.cuts.all().delete()
    page = page_of(as_coach, path)
    assert "<path-viewer" not in page
    assert "can be read but not set right" in page
    assert "toward the target" in page


def test_browser_and_worker_agree_on_what_is_sure():
    written = finders.find("paths/places.js")
    assert written
    found = re.search(r"^const SURE = ([\d.]+);", FilePath(written).read_text(), re.MULTILINE)
    assert found
    assert float(found[1]) == SURE


def test_the_page_being_written_leads_to_it(as_coach: Client, path: Path):
    desk = reverse("visits:desk", args=[path.clip.lesson_id])
    page = as_coach.get(desk).content.decode()
    assert f'href="{address(path)}"' in page
    assert "; in the recap" not in page
    Path.objects.update(in_recap=True)
    assert "; in the recap" in as_coach.get(desk).content.decode()


def test_pages_load_without_what_follows():
    """OpenCV is the worker's: a page that shows a path must not wait for it."""
    code = (
        "import django, sys; django.setup(); import portal.urls; "
        "import lessons.paths.views; sys.exit('cv2' in sys.modules)"
    )
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    done = subprocess.run([sys.executable, "-c", code], env=environment, check=False)
    assert done.returncode == 0
