"""A short version of the synchrony bench: two browsers, their recorded sound, and controls that fail.

The bounds are wide, for a machine that does other things besides; the bench holds the narrow ones. Sounds up
to some 5 ms apart fuse to one (click experiments, JARO 2013, PMC3767875).
"""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from bench import sync, sync_rig

SYMBOLS = 14
FUSED_MS = 5.0


@pytest.fixture(scope="module", autouse=True)
def _rig() -> None:
    if lacking := sync_rig.missing():
        pytest.skip(f"sound cannot be recorded here: {', '.join(lacking)} not installed")


def heard(*settings: sync.Setting) -> list[sync.Heard]:
    """Each of these classes, all at the same time."""

    def one(setting: sync.Setting) -> sync.Heard:
        return asyncio.run(sync.measure(setting, seed=3, symbols=SYMBOLS))

    # In threads of their own: the other browser tests keep an event loop running in this one.
    with ThreadPoolExecutor(len(settings)) as other_threads:
        return list(other_threads.map(one, settings))


def test_two_browsers_sound_as_one():
    (both,) = heard(sync.Setting(2, warm_up_s=sync.WARM_UP_S))
    assert both.missing == 0, "a tone was not heard from one of the browsers"
    assert both.median_ms <= FUSED_MS, both.spread_ms


def test_the_rig_hears_pages_apart_that_play_on_arrival_or_overlook_a_slow_output():
    controls = [replace(control, warm_up_s=4.0) for control in (sync.ARRIVAL, sync.CURRENT_TIME)]
    on_arrival, overlooking = heard(*controls)
    assert on_arrival.median_ms >= 4.0, on_arrival.spread_ms
    assert overlooking.median_ms >= sync.CONTROL_LIMITS_MS[sync.CURRENT_TIME], overlooking.spread_ms
