"""Logs that go out while no page of the site is open: Background Sync, as Chromium does it.

The browser itself asks the worker once the signal is back. Browsers without Background Sync
(Safari and Firefox, from memory) send when a page of the site is opened next: test_offline.py.
"""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.test_offline import House, filled, house, waiting  # noqa: F401 - fixtures
from tests.servers import wait_until


def test_a_log_goes_out_after_the_page_was_closed(house: House):  # noqa: F811
    page = house.open()
    house.sign_in("Robin")
    house.kept(page)
    house.off()
    page.get_by_role("button", name="Done: sway gate").click()
    expect(waiting(page)).to_contain_text("1 log waits")
    assert house.context
    house.context.new_page()
    page.close()
    assert [one.url for one in house.context.pages] == ["about:blank"]

    house.on()
    wait_until(lambda: len(house.logs()) == 1, "the worker has sent the log")
    assert house.logs()[0][:2] == ["sway gate", "Robin"]
