"""How soon a hand sees what it draws: the board in Chromium, against a bare line in an empty page.

`python -m tests.benchmarks.strokes` prints one line a figure: `figure NAME VALUE ms bar <= LIMIT`,
and ends with 1 if a bar is missed. A hand moves over a 1080p still that carries 30 marks, once on a
laptop's page and once on a phone's; for each move it is taken how long the page works on it, from
the first of its code that runs until the frame with it is painted (what a screen adds by its own
rhythm is the same for every page). The baseline is a polyline with the same points in a page that
does nothing else.
"""

from __future__ import annotations

import json
import math
import statistics
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

from playwright.sync_api import Browser, Page, sync_playwright

from tests.chromium import FLAGS
from tests.running import Site
from tests.servers import need

MOVES = 240
BAR_MS = 16.0
SIZES = {"laptop": (1440, 900), "phone": (390, 844)}
TOOLS = ("freehand", "line", "ellipse")
FILL = """
import io, json, uuid
from django.conf import settings
from django.core.files.base import ContentFile
from PIL import Image
from lessons.clips.models import Still
from lessons.marks.service import save_marks
from portal.accounts.links import sign_in_url
from tests import factories

clip = factories.ClipFactory(lesson=factories.LessonFactory(), ready=True)
still = factories.StillFactory(
    clip=clip, state=Still.State.READY, width_px=1920, height_px=1080, position="P4"
)
out = io.BytesIO()
Image.effect_noise((1920, 1080), 60).convert("RGB").save(out, "JPEG")
still.picture.save("still.jpg", ContentFile(out.getvalue()))
kinds = ("line", "ellipse", "box")
save_marks(still, 0, [
    {"id": str(uuid.uuid4()), "kind": kinds[n % 3], "colour": "#0072B2", "text": "",
     "points": [[60 * n, 100], [60 * n + 50, 900]]}
    for n in range(30)
])
address = settings.SITE_URL + f"/stills/{still.pk}/"
print(json.dumps([sign_in_url(clip.lesson.student.coach), address]))
"""
# Begins with the first listener that hears of a move; ends after the frame that shows it
WATCH = """
() => {
  window.taken = [];
  let begun = 0;
  const painted = new MessageChannel();
  painted.port1.onmessage = () => { taken.push(performance.now() - begun); begun = 0; };
  window.addEventListener("pointermove", (event) => {
    if (!event.buttons || begun) return;
    begun = performance.now();
    requestAnimationFrame(() => painted.port2.postMessage(0));
  }, { capture: true });
}
"""
BARE = """<!doctype html><style>svg { position: fixed; inset: 0; touch-action: none }</style>
<svg width="100%" height="100%"><polyline fill="none" stroke="black" stroke-width="3"/></svg>
<script>
const line = document.querySelector("polyline"), points = [];
addEventListener("pointermove", (event) => {
  if (!event.buttons) return;
  points.push(`${event.clientX},${event.clientY}`);
  line.setAttribute("points", points.join(" "));
});
</script>"""


class Place(NamedTuple):
    """A rectangle on the screen, in CSS pixels."""

    x: float
    y: float
    width: float
    height: float


def draw(page: Page, place: Place) -> list[float]:
    """Move a pressed hand over the place; milliseconds for each move that was painted."""
    page.evaluate("() => { taken.length = 0; }")
    middle = (place.x + place.width / 2, place.y + place.height / 2)
    page.mouse.move(*middle)
    page.mouse.down()
    for number in range(MOVES):
        turn = number / MOVES * 6 * math.pi
        far = 0.1 + 0.3 * number / MOVES
        page.mouse.move(
            middle[0] + place.width * far * math.cos(turn),
            middle[1] + place.height * far * math.sin(turn),
        )
    page.mouse.up()
    return page.evaluate("() => taken")


def on_the_board(page: Page, still: str) -> dict[str, list[float]]:
    """The milliseconds of each tool."""
    page.goto(still)
    page.wait_for_selector("mark-board[data-ready]")
    page.evaluate(WATCH)
    taken = {}
    for tool in TOOLS:
        page.click(f'[data-tool="{tool}"]')
        box = page.locator(".mark-drawing").bounding_box()
        assert box is not None
        taken[tool] = draw(page, Place(**box))
    return taken


def in_an_empty_page(browser: Browser, size: tuple[int, int]) -> list[float]:
    page = browser.new_page(viewport={"width": size[0], "height": size[1]})
    page.set_content(BARE)
    page.evaluate(WATCH)
    taken = draw(page, Place(0, 0, *size))
    page.close()
    return taken


def signed_in(browser: Browser, link: str) -> Page:
    page = browser.new_page()
    page.goto(link)
    page.locator("main form button").first.click()
    page.wait_for_load_state()
    return page


def main() -> int:
    """Print the figures; 1 if a bar is missed."""
    missed = False

    def tell(name: str, value: float, most: float | None = None) -> None:
        nonlocal missed
        bar = "" if most is None else f" bar <= {most:g}"
        print(f"figure {name} {value:.2f} ms{bar}", flush=True)
        missed |= most is not None and value > most

    with tempfile.TemporaryDirectory(prefix="strokes-") as name, sync_playwright() as playwright:
        site = Site(Path(name))
        site.manage("make_ready")
        link, still = json.loads(site.python(FILL))
        browser = playwright.chromium.launch(executable_path=need("chromium"), args=FLAGS)
        with site.web():
            page = signed_in(browser, link)
            for where, size in SIZES.items():
                page.set_viewport_size({"width": size[0], "height": size[1]})
                bare = in_an_empty_page(browser, size)
                tell(f"{where}_bare_line_median", statistics.median(bare))
                tell(f"{where}_bare_line_95th", statistics.quantiles(bare, n=20)[-1])
                for tool, taken in on_the_board(page, still).items():
                    tell(f"{where}_{tool}_median", statistics.median(taken), BAR_MS)
                    tell(f"{where}_{tool}_95th", statistics.quantiles(taken, n=20)[-1], BAR_MS)
        browser.close()
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
