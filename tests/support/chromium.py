"""A headless Chromium for tests of pages, and the accessibility audit run in it.

A machine without a browser, without playwright or without the audit skips those tests and says so in a warning at the end of
the run; where CI is `true` in the environment they fail instead. `.ci/run` brings all three where it can. DRYFLOOR_CHROMIUM names
another browser, DRYFLOOR_AXE the audit's file (axe.min.js of the npm package axe-core, MPL-2.0, never kept in this repository).
"""

import os
import shutil
from pathlib import Path

import pytest

from tests.support.missing import missing as missing_part

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-quic",
    "--no-first-run",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {"width": 360, "height": 740}
PAPERS = ("Letter", "A4")


def missing(what, how):
    """Skip a test of pages loudly, as `tests.support.missing`."""
    missing_part("NOT TESTED IN A BROWSER", what, how)


# Playwright holds an event loop in its thread until it stops; tests of terminals run loops of their own, so no longer than a module.
@pytest.fixture(scope="module")
def chromium():
    """A headless browser with a fresh profile, as playwright's Browser; each test opens its own pages in it."""
    path = os.environ.get("DRYFLOOR_CHROMIUM") or shutil.which("chromium")
    if not path:
        missing(
            "no chromium on this machine", "Install Debian's package chromium, or name another in DRYFLOOR_CHROMIUM."
        )
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("no playwright for this Python", "Install the extra dryfloor[browser].")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, headless=True, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def for_files(chromium):
    """Contexts by their settings, for files: these keep nothing from page to page, and a context takes as long as two pages."""
    return {}


@pytest.fixture
def open_page(chromium, for_files):
    """Return a function that opens a file or an address in a page of its own; what the page asks for stands in `page.asked`.

    Its keywords are those of playwright's new_context: viewport, color_scheme, java_script_enabled and so on.
    """
    contexts, pages = [], []

    def context_of(target, settings):
        key = repr(sorted(settings.items()))
        if isinstance(target, Path) and key in for_files:
            return for_files[key]
        context = chromium.new_context(**settings)
        if isinstance(target, Path):
            for_files[key] = context
        else:
            contexts.append(context)
        return context

    def go(target, **settings):
        page = context_of(target, {"viewport": {"width": 1000, "height": 800}, **settings}).new_page()
        pages.append(page)
        page.asked = []
        page.on("request", lambda request: page.asked.append(request.url))
        page.goto(target.resolve().as_uri() if isinstance(target, Path) else target)
        return page

    yield go
    for opened in (*pages, *contexts):
        opened.close()


@pytest.fixture
def audit():
    """Return a function that gives the accessibility violations of a page, one line each."""
    named = os.environ.get("DRYFLOOR_AXE")
    if not named or not Path(named).is_file():
        missing("no accessibility audit", "Set DRYFLOOR_AXE to axe.min.js of the npm package axe-core; .ci/run does.")
    source = Path(named).read_text(encoding="utf-8")

    def go(page):
        if page.evaluate("() => typeof axe === 'undefined'"):
            page.evaluate(source)
        found = page.evaluate("() => axe.run(document, {resultTypes: ['violations', 'incomplete']})")
        return [f"{v['id']}: {v['help']}: {n['html'][:160]}" for v in found["violations"] for n in v["nodes"]]

    return go


def overflow(page):
    """Return what sticks out of a page to the right: empty where nobody has to scroll sideways [px of each element]."""
    return page.evaluate(
        """() => {
            const wide = document.documentElement.clientWidth;
            const out = document.documentElement.scrollWidth > wide ? ['page ' + document.documentElement.scrollWidth] : [];
            for (const e of document.body.querySelectorAll('*')) {
                const right = e.getBoundingClientRect().right;
                if (right > wide + 0.5) out.push(e.tagName + ' ' + Math.round(right) + ' ' + (e.textContent || '').slice(0, 40));
            }
            return out;
        }"""
    )
