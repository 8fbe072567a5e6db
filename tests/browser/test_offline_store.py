"""A phone without a signal where files lie in a store of another origin."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, Response, expect

from media_tools.mannequin import Film, TimedSwing, film
from tests.browser.test_offline import FILL, House, true_soon
from tests.running import Site
from tests.servers import Store

pytestmark = [pytest.mark.browser, pytest.mark.servers]

# What the worker fetched, with the bytes that came: of another origin the browser tells 0 (W3C
# Resource Timing, without Timing-Allow-Origin)
READ = """performance.getEntriesByType("resource")
    .filter((one) => one.name.includes("/clips/"))
    .map((one) => [one.name, one.encodedBodySize])"""


@pytest.fixture
def house(tmp_path: Path, s3_store: Store, playwright: Playwright) -> Iterator[House]:
    clip = tmp_path / "drill.mp4"
    film(Film(size_px=(320, 240), fps=30, swings=(TimedSwing(0.3),), duration_s=2), clip)
    site = Site(tmp_path / "site", {"CARRYOVER_FILES_BY": "store", **s3_store.environment})
    site.folder.mkdir()
    site.manage("migrate", "--verbosity", "0")
    site.manage("collectstatic", "--no-input", "--verbosity", "0")
    told = site.python(FILL.format(film=str(clip), poster=str(tmp_path / "poster.jpg")))
    house = House(site, json.loads(told), tmp_path / "phone", playwright)
    house.on()
    yield house
    house.running.close()
    if house.context:
        house.context.close()


def test_the_kit_comes_through_the_site_and_the_rest_from_the_store(house: House, s3_store: Store):
    page = house.open()
    house.sign_in("Robin")
    seen: list[Response] = []
    page.on("response", lambda answer: seen.append(answer))
    house.today(page)
    page.get_by_role("button", name="Start sway gate").click()
    true_soon(page, "document.querySelector('dialog[open] video')?.currentTime > 0.2")
    assert any(one.url.startswith(s3_store.endpoint) for one in seen), "an element goes there"

    house.kept(page)
    assert house.context
    (worker,) = house.context.service_workers
    # The store of these tests would let any origin read; one without CORS would not
    read = {name for name, size in worker.evaluate(READ) if size}
    assert {name.rpartition("/clips/")[2].partition("/")[2] for name in read} == {
        "poster/",
        "watch/",
    }
    house.off()
    page.reload()
    page.get_by_role("button", name="Start sway gate").click()
    true_soon(page, "document.querySelector('dialog[open] video')?.currentTime > 0.2")
    picture = "document.querySelector('.day-list img')"
    expect(page.locator(".day-list img").first).to_be_visible()
    true_soon(page, f"{picture}.complete && {picture}.naturalWidth > 0")
