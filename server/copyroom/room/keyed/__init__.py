"""What is keyed by hand, in whatever exercise: a stretch of tones, its way to the others, and its reading.

The sender hears their own tone at once; all others hear it in step, a steady while later, in parts as they
come in. A stretch is keyed, then over, then it has sounded everywhere, then it is read. Who copies it does so
in a run within the exercise: its copies are held against what was keyed, so a letter that went out as
another one is no fault of those who wrote what they heard.
"""

from __future__ import annotations

from copyroom.room.keyed.handling import ended
from copyroom.room.keyed.stretch import ByHand, Stretch, delay_ms, keyed_bursts

__all__ = ["ByHand", "Stretch", "delay_ms", "ended", "keyed_bursts"]
