"""What travels to the browser: how much, from where, under which policy, and whether the page holds still."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import CDPSession, Page

from tests.browser.conftest import Opener, Site, View

MOST_BYTES = 100_000
# A busy machine paints long after the page has loaded: what shifts is looked at once it has been painted. Of a page
# that is never painted no shift is known (null): the test fails.
PAINT = """() => new Promise(done => {
  const shifts = [];
  setTimeout(() => done({ shift: null, paint: 60000 }), 60000);
  new PerformanceObserver(list => shifts.push(...list.getEntries().filter(e => !e.hadRecentInput)
    .map(e => e.value))).observe({ type: 'layout-shift', buffered: true });
  new PerformanceObserver(list => list.getEntriesByName('first-contentful-paint').forEach(painted =>
    setTimeout(() => done({ shift: shifts.reduce((a, b) => a + b, 0), paint: painted.startTime }), 60)
  )).observe({ type: 'paint', buffered: true });
})"""


class Meter:
    """Loads pages as if for the first time; notes bytes on the wire, hosts asked, and what the console said."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.sizes: list[float] = []
        self.hosts: set[str] = set()
        self.said: list[str] = []
        session: CDPSession = page.context.new_cdp_session(page)
        session.send("Network.enable")
        session.send("Network.setCacheDisabled", {"cacheDisabled": True})
        session.on("Network.loadingFinished", lambda event: self.sizes.append(event["encodedDataLength"]))
        page.on("request", lambda request: self.hosts.add(request.url.split("/")[2]))
        page.on("console", lambda message: self.said.append(message.text))

    def load(self, address: str) -> tuple[int, dict[str, float]]:
        """The bytes of a page with all that it needs, and its entries of paint and shift."""
        self.sizes.clear()
        self.page.goto(address, wait_until="load")
        paint: dict[str, float] = self.page.evaluate(PAINT)
        return int(sum(self.sizes)), paint


def test_every_page_is_small_asks_no_other_host_breaks_no_policy_and_holds_still(
    look: Opener, site: Site, record_property: Any
) -> None:
    found: dict[str, Any] = {}
    meter = Meter(look(View(width=390)))
    for name in site.paths:
        size, paint = meter.load(site.of(name))
        record_property(name, f"{size} bytes, first paint {paint['paint']:.0f} ms")
        if size >= MOST_BYTES or paint["shift"] != 0:
            found[name] = (size, paint)
    assert found == {}
    assert meter.hosts == {site.address.split("/")[2]}
    # The browser itself reports the pages that were refused on purpose.
    assert [each for each in meter.said if "404" not in each and "400" not in each] == []


@pytest.mark.bench
def test_first_paint_and_size_of_every_page(look: Opener, site: Site, capsys: pytest.CaptureFixture[str]) -> None:
    """Reports; a time on somebody's machine proves nothing, so none is asserted."""
    lines = []
    meter = Meter(look(View(width=390)))
    for name in site.paths:
        size, paint = meter.load(site.of(name))
        lines.append(f"{name:20} {size:7d} bytes   first paint {paint['paint']:5.0f} ms   shift {paint['shift']:.4f}")
    with capsys.disabled():
        print("", *lines, sep="\n")  # noqa: T201
    assert lines


def test_the_policy_lets_no_other_script_run(look: Opener, site: Site) -> None:
    page = look(View(width=390))
    page.goto(site.of("task 1"))
    page.evaluate(
        "() => { const e = document.createElement('script'); e.textContent = 'window.ran = true';"
        " document.body.append(e); }"
    )
    assert page.evaluate("window.ran") is None
