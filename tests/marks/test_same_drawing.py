"""The browser and the server draw the same: SVG in Chromium against Pillow, JS against Python.

Chromium is the outside reference here: what it makes of the SVG is what a student sees.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.template.loader import render_to_string
from PIL import Image
from playwright.sync_api import Browser, Page, Route

import lessons.marks
from lessons.marks.drawing import CONSTANTS, Frame
from lessons.marks.geometry import angle_deg, sweep_rad
from lessons.marks.mark import Mark, numbers_of
from lessons.marks.measures import measures_of, said
from lessons.marks.picture import draw_marks
from lessons.marks.shapes import Shape, shape_of, shapes_of
from lessons.marks.sight import Sight
from lessons.marks.svg import Drawing
from tests.marks.conftest import GREY

pytestmark = pytest.mark.browser

MODULES = Path(lessons.marks.__file__).parent / "static/marks"
WIDTH, HEIGHT = 960, 720
FRAME = Frame(WIDTH, HEIGHT)
WAVE = tuple((150 + 8.5 * n, 400 + 150 * np.sin(n / 9)) for n in range(70))
MARKS = [
    Mark("line", "line", ((100.3, 120.8), (760.5, 610.2)), "#E69F00"),
    Mark("level", "line", ((100, 300), (800, 300)), "#56B4E9"),
    Mark("arrow", "arrow", ((700.2, 600.1), (250.7, 180.4)), "#F0E442"),
    Mark("short", "arrow", ((400, 300), (409, 306)), "#F0E442"),
    Mark("angle", "angle", ((700, 300), (300, 420), (640, 640)), "#D55E00"),
    Mark("obtuse", "angle", ((120, 420), (480, 400), (850, 250)), "#009E73"),
    Mark("flat", "angle", ((100, 400), (480, 400), (850, 400)), "#009E73"),
    Mark("box", "box", ((720.5, 140.5), (160.2, 600.9)), "#009E73"),
    Mark("ellipse", "ellipse", ((150, 160), (800, 560)), "#CC79A7"),
    Mark("freehand", "freehand", WAVE, "#0072B2"),
    Mark("two points", "freehand", WAVE[:2], "#0072B2"),
    Mark("ruler", "ruler", ((300.5, 200), (600, 410.5)), "#56B4E9", length_mm=940),
    Mark("point", "point", ((480.5, 360.2),), "#F0E442"),
    Mark("black", "box", ((200, 200), (700, 500)), "#000000"),
]
LABELS = [
    Mark("label", "label", ((480, 360),), "#0072B2", "Hips stay over the trail foot"),
    Mark("corner", "label", ((960, 0),), "#F0E442", "Head"),
    Mark("long", "label", ((480, 600),), "#56B4E9", "W" * 60),
    Mark("lean", "line", ((480, 600), (520, 100)), "#56B4E9", shows="upright"),
    Mark("lean back", "arrow", ((480, 100), (440, 600)), "#56B4E9", shows="upright"),
    Mark("level", "line", ((100, 300), (800, 300)), "#E69F00", shows="level"),
    Mark("other letters", "label", ((480, 360),), "#CC79A7", "Hüfte 左腕 Я"),
]


@pytest.fixture(scope="module")
def canvas(browser: Browser) -> Iterator[Page]:
    """A page as large as the picture that can import the site's modules."""
    page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})

    def answer(route: Route) -> None:
        name = route.request.url.rpartition("/")[2]
        if name.endswith(".js"):
            body = (MODULES / name).read_text()
            route.fulfill(body=body, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><body></body>", content_type="text/html")

    page.route("http://marks.test/**", answer)
    page.goto("http://marks.test/")
    yield page
    page.close()


def shape(mark: Mark) -> Shape:
    return shape_of(mark, FRAME, said(mark, [mark], Sight()))


def markup(mark: Mark) -> str:
    drawing = Drawing(WIDTH, HEIGHT, [mark], [shape(mark)], "")
    return render_to_string("marks/_svg.html", {"drawing": drawing})


def in_chromium(page: Page, mark: Mark) -> np.ndarray:
    """The template's SVG on plain grey, as Chromium shows it."""
    style = (MODULES / "still.css").read_text()
    grey = "#{:02x}{:02x}{:02x}".format(*GREY)
    page.set_content(
        f"<style>{style} body {{ margin: 0; background: {grey} }} svg {{ display: block }}</style>"
        f'<svg class="marks" width="{WIDTH}" height="{HEIGHT}">{markup(mark)}</svg>'
    )
    shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    return np.asarray(shot).astype(int)


def by_pillow(mark: Mark) -> np.ndarray:
    return np.asarray(draw_marks(Image.new("RGB", (WIDTH, HEIGHT), GREY), [mark])).astype(int)


def overlap(shown: np.ndarray, drawn: np.ndarray) -> float:
    """Intersection over union of what is not grey; a half-covered edge pixel counts by half."""
    marks = [np.abs(picture - GREY[0]).max(axis=2) for picture in (shown, drawn)]
    return float(np.minimum(*marks).sum() / np.maximum(*marks).sum())


@pytest.mark.parametrize("mark", MARKS, ids=lambda mark: mark.id)
def test_pillow_draws_what_chromium_shows(canvas: Page, mark: Mark):
    shown, drawn = in_chromium(canvas, mark), by_pillow(mark)
    if mark.kind in {"angle", "ruler"}:
        # The digits come from different fonts: what is compared is all but the plate's inside
        text = shape(mark).text
        assert text is not None
        top, left = int(text.y - text.size), int(text.x - 1)
        inside = np.s_[top : int(text.y + 0.3 * text.size), left : int(text.x + text.width + 2)]
        shown[inside] = drawn[inside] = GREY
    assert overlap(shown, drawn) >= 0.92
    assert np.abs(shown - drawn).mean() < 0.15


@pytest.mark.parametrize("mark", LABELS, ids=lambda mark: mark.id)
def test_a_labels_plate_is_the_same_and_its_words_fill_it_alike(canvas: Page, mark: Mark):
    plates = [
        np.abs(p - GREY[0]).max(axis=2) > 24 for p in (in_chromium(canvas, mark), by_pillow(mark))
    ]
    assert (plates[0] & plates[1]).sum() / (plates[0] | plates[1]).sum() >= 0.9
    text = shape(mark).text
    assert text is not None
    wide = canvas.evaluate("document.querySelector('text').getComputedTextLength()")
    assert wide == pytest.approx(text.width, abs=0.5)


@pytest.mark.parametrize("mark", [*MARKS, *LABELS], ids=lambda mark: mark.id)
def test_javascript_makes_the_elements_that_the_template_writes(canvas: Page, mark: Mark):
    canvas.goto("http://marks.test/")
    made = canvas.evaluate(
        """async ([mark, width, height, constants]) => {
          const [{ Frame }, { shapeOf }, { paint, element }, { svgData }] = await Promise.all(
            ["frame", "shapes", "svg", "paths"].map((name) => import(`/${name}.js`)));
          const group = element("g", { "data-kind": mark.kind });
          const { said } = await import("/measures.js");
          const sight = { view: "other", handed: "right", error_px: 3 };
          const words = said(mark, [mark], sight);
          paint(group, shapeOf(mark, new Frame(width, height, constants), words), svgData);
          return group.outerHTML;
        }""",
        [mark.as_json(), WIDTH, HEIGHT, json.loads(json.dumps(CONSTANTS))],
    )
    written = canvas.evaluate(
        """(markup) => {
          const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
          svg.innerHTML = markup;
          return svg.querySelector("g").outerHTML;
        }""",
        markup(mark),
    )
    assert words(made) == words(written)
    # Half a hundredth may be written up by one language and down by the other
    assert numbers(made) == pytest.approx(numbers(written), abs=0.011)


CROWD = [
    Mark("spine", "line", ((480, 600), (520, 100)), "#56B4E9", shows="upright"),
    Mark("again", "line", ((484, 600), (524, 100)), "#E69F00", shows="upright"),
    Mark("angle", "angle", ((200, 600), (420, 350), (200, 100)), "#D55E00"),
    Mark("ruler", "ruler", ((470, 560), (510, 140)), "#F0E442", length_mm=940),
    Mark("label", "label", ((560, 350),), "#0072B2", "Hips"),
    Mark("low", "line", ((100, 718), (300, 718)), "#56B4E9", shows="level"),
    Mark("point", "point", ((200, 700),), "#F0E442", shows="off", against="low"),
]


def test_no_number_covers_another(canvas: Page):
    words = [said(mark, CROWD, Sight()) for mark in CROWD]
    plates = [shape.plate for shape in shapes_of(CROWD, FRAME, words)]
    assert all(plates)
    for n, plate in enumerate(plates):
        assert plate is not None
        assert not any(plate.lies_on(other) for other in plates[:n] if other)
        assert 0 <= plate.y <= HEIGHT - plate.height
    # The label is where it was put
    alone = shape_of(CROWD[4], FRAME).plate
    assert plates[4] == alone


def test_javascript_moves_the_same_numbers_out_of_the_way(canvas: Page):
    canvas.goto("http://marks.test/")
    words = [said(mark, CROWD, Sight()) for mark in CROWD]
    made = canvas.evaluate(
        """async ([marks, words, width, height, constants]) => {
          const { Frame } = await import("/frame.js");
          const { labelPlates, shapeOf } = await import("/shapes.js");
          const frame = new Frame(width, height, constants);
          const taken = labelPlates(marks, frame);
          return marks.map((mark, n) => {
            const { plate } = shapeOf(mark, frame, words[n], taken);
            if (mark.kind !== "label") taken.push(plate);
            return [plate.x, plate.y, plate.width, plate.height];
          });
        }""",
        [[mark.as_json() for mark in CROWD], words, WIDTH, HEIGHT, CONSTANTS],
    )
    for shape, theirs in zip(shapes_of(CROWD, FRAME, words), made, strict=True):
        plate = shape.plate
        assert plate is not None
        ours = (plate.x, plate.y, plate.width, plate.height)
        assert theirs == pytest.approx(ours, abs=1e-6)


def words(element: str) -> list[str]:
    return re.sub(r"-?\d+(\.\d+)?", "#", re.sub(r">\s+<", "><", element)).split()


def numbers(element: str) -> list[float]:
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", element)]


def test_javascript_measures_the_same_angles(canvas: Page):
    canvas.goto("http://marks.test/")
    random = np.random.default_rng(11)
    triples: list[Any] = random.uniform(-200, 2200, (500, 3, 2)).tolist()
    triples += [[[1, 0], [0, 0], [-1, -0.0]], [[1, 1], [1, 1], [2, 2]], [[9, 0], [0, 0], [9, 1e-6]]]
    measured = canvas.evaluate(
        """async (triples) => {
          const { angleDeg, sweepRad } = await import("/geometry.js");
          return triples.map((points) => [angleDeg(...points), sweepRad(...points)]);
        }""",
        triples,
    )
    for (first, corner, second), (angle, sweep) in zip(triples, measured, strict=True):
        assert angle == pytest.approx(angle_deg(first, corner, second), abs=1e-9)
        assert sweep == pytest.approx(sweep_rad(first, corner, second), abs=1e-9)


def some_marks(random: np.random.Generator) -> list[Mark]:
    """Marks that measure one another, some of them too short, level, upright or without a line."""
    kinds = ["line", "arrow", "angle", "ruler", "point", "point", "line", "box"]
    kinds += ["ruler"] * int(random.integers(0, 2))
    count = {"angle": 3, "point": 1}
    marks = []
    for n, kind in enumerate(kinds):
        points = random.choice(random.uniform(0, 1900, 40).round(2), (count.get(kind, 2), 2))
        if random.random() < 0.3 and len(points) > 1:
            points[1] = points[0] + random.choice([0, 8, 300], 2)
        against = f"m{random.integers(0, 9)}" if kind in {"line", "arrow", "point"} else ""
        length = round(float(random.uniform(10, 3000)), 2) if kind == "ruler" else 0
        placed = tuple((float(x), float(y)) for x, y in points)
        shows = "scale" if kind == "ruler" and random.random() < 0.3 else ""
        name = "Shaft" * int(random.integers(0, 2))
        marks.append(Mark(f"m{n}", kind, placed, "#E69F00", name, shows, against, length))
    return marks


def test_javascript_measures_the_same_in_the_same_words(canvas: Page):
    canvas.goto("http://marks.test/")
    random = np.random.default_rng(5)
    sights = [
        Sight(view, handed, error)
        for view in ("face-on", "down-the-line", "other")
        for handed in ("right", "left")
        for error in (0.5, 3.0, 12.5)
    ]
    cases = [(some_marks(random), sights[n % len(sights)]) for n in range(120)]
    measured = canvas.evaluate(
        """async (cases) => {
          const { measuresOf, said, sentence, short } = await import("/measures.js");
          const { namesOf } = await import("/names.js");
          return cases.map(([marks, sight]) => marks.map((mark) => [
            `${namesOf(marks).get(mark.id)}: ${said(mark, marks, sight)}`,
            measuresOf(mark, marks, sight).map((m) =>
              [m.kind, m.value, m.error, m.unit, short(m), sentence(m)])]));
        }""",
        [([m.as_json() for m in marks], sight.as_json()) for marks, sight in cases],
    )
    counted = 0
    for (marks, sight), made in zip(cases, measured, strict=True):
        for mark, (words_on_it, theirs) in zip(marks, made, strict=True):
            ours = measures_of(mark, marks, sight)
            name = mark.words_as(numbers_of(marks)[mark.id])
            assert words_on_it == f"{name}: {said(mark, marks, sight)}"
            assert [m.kind for m in ours] == [kind for kind, *_ in theirs]
            for ms, (_, value, error, unit, short, sentence) in zip(ours, theirs, strict=True):
                assert (value, error) == pytest.approx((ms.value, ms.error), abs=1e-9)
                assert (unit, short, sentence) == (ms.unit, ms.short, ms.sentence)
                counted += 1
    assert counted > 1000
