"""The page as a person works it in a browser; whatever the browser complains of fails the test."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


PATIENCE = 300_000  # ms: only what hangs waits so long, on however busy a machine


@contextmanager
def watched(browser: "Browser", address: str) -> Iterator["Page"]:
    """The page at an address, open and at rest."""
    context = browser.new_context(viewport={"width": 1400, "height": 1000})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if said.type in ("error", "warning") else None)
    page.on("dialog", lambda dialog: faults.append(dialog.message))
    page.goto(address)
    page.wait_for_selector("#numbers tbody tr")
    settled(page)
    yield page
    context.close()
    # That a request was refused the browser says by itself; what the page makes of it is tested.
    assert [one for one in faults if "the server responded with a status of 422" not in one] == []


def settled(page: "Page") -> None:
    """Until what was asked last is shown."""
    page.wait_for_selector("body:not([data-busy])")


def slide(page: "Page", key: str, value: float | str) -> None:
    """Type an amount beside a slider."""
    page.locator(f'.slider[data-key="{key}"] .amount input').fill(str(value))
    settled(page)


def number(page: "Page", key: str) -> list[str]:
    """What the table says of a number, each side or both at once."""
    return page.locator(f'#numbers tr[data-key="{key}"] td').all_inner_texts()
