"""What travels to the browser: how much, from where, under which policy, and whether the page holds still."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import CDPSession, Page

from tests.browser.conftest import Opener, Site, View

MOST_BYTES = 100_000
PAINT = """() => new Promise(done => {
  const shifts = [];
  new PerformanceObserver(list => shifts.push(...list.getEntries().filter(e => !e.hadRecentInput)
    .map(e => e.value))).observe({ type: 'layout-shift', buffered: true });
  setTimeout(() => done({
    shift: shifts.reduce((a, b) => a + b, 0),
    paint: (performance.getEntriesByName('first-contentful-paint')[0] || {}).startTime,
  }), 60);
})"""


def _measured(page: Page, address: str) -> tuple[int, set[str], list[str]]:
    """Bytes on the wire, hosts asked, and what the console said."""
    session: CDPSession = page.context.new_cdp_session(page)
    session.send("Network.enable")
    sizes: list[float] = []
    hosts: set[str] = set()
    said: list[str] = []
    session.on("Network.loadingFinished", lambda event: sizes.append(event["encodedDataLength"]))
    page.on("request", lambda request: hosts.add(request.url.split("/")[2]))
    page.on("console", lambda message: said.append(message.text))
    page.goto(address, wait_until="networkidle")
    session.detach()
    return int(sum(sizes)), hosts, said


def test_every_page_is_small_asks_no_other_host_breaks_no_policy_and_holds_still(
    look: Opener, site: Site, record_property: Any
) -> None:
    found: dict[str, Any] = {}
    for name in site.paths:
        page = look(View(width=390))
        size, hosts, said = _measured(page, site.of(name))
        paint = page.evaluate(PAINT)
        record_property(name, f"{size} bytes, first paint {paint['paint']:.0f} ms")
        said = [each for each in said if "404" not in each and "400" not in each]
        if size >= MOST_BYTES or hosts != {site.address.split("/")[2]} or said or paint["shift"] > 0:
            found[name] = (size, hosts, said, paint)
        page.context.close()
    assert found == {}


@pytest.mark.bench
def test_first_paint_and_size_of_every_page(look: Opener, site: Site, capsys: pytest.CaptureFixture[str]) -> None:
    """Reports; a time on somebody's machine proves nothing, so none is asserted."""
    lines = []
    for name in site.paths:
        page = look(View(width=390))
        size, _, _ = _measured(page, site.of(name))
        paint = page.evaluate(PAINT)
        lines.append(f"{name:20} {size:7d} bytes   first paint {paint['paint']:5.0f} ms   shift {paint['shift']:.4f}")
        page.context.close()
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
