"""What every kind of test shares."""

from __future__ import annotations

import shutil

import pytest
from hypothesis import settings

# A failure prints what repeats it; a slow machine is no failure.
settings.register_profile("copyroom", print_blob=True, deadline=None)
settings.load_profile("copyroom")

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of the system's Chromium, for tests in a real browser."""
    found = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    if found is None:
        pytest.fail("no Chromium is installed: scripts/test.py installs it on Debian")
    return found
