"""The types of the wire's fields, each with its limit."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

Name = Annotated[str, Meta(max_length=24)]
Token = Annotated[str, Meta(max_length=64)]
Code = Annotated[str, Meta(min_length=1, max_length=24)]
Sign = Annotated[str, Meta(max_length=1)]
Symbols = Annotated[str, Meta(max_length=64)]
About = Literal["", "camp", "radio", "map", "weather", "boats", "own"]
"""What words are about: "" anything, "own" the class's own list, else one of our themes."""
RawText = Annotated[str, Meta(max_length=4000)]
Seed = Annotated[int, Meta(ge=0, lt=2**53)]
SeatNumber = Annotated[int, Meta(ge=0, lt=1_000_000)]
PushNumber = Annotated[int, Meta(ge=1, lt=1_000_000)]
RunAtHand = Annotated[int, Meta(ge=-1, lt=1_000_000)]
"""A run's number, 0 for none, -1 for whichever is at hand."""
Reason = Annotated[str, Meta(min_length=1, max_length=60)]
Place = Annotated[int, Meta(ge=0, lt=3000)]
StrokeNumber = Annotated[int, Meta(ge=0, lt=100_000)]
InPushMs = Annotated[float, Meta(ge=-60_000.0, le=86_400_000.0)]
PageMs = Annotated[float, Meta(ge=0.0, le=1e13)]
ShortMs = Annotated[float, Meta(ge=0.0, le=60_000.0)]
Wpm = Annotated[float, Meta(ge=1.0, le=60.0)]
PitchHz = Annotated[float, Meta(ge=300.0, le=1000.0)]
LeadInS = Annotated[float, Meta(ge=0.0, le=30.0)]
TidyS = Annotated[float, Meta(ge=0.0, le=600.0)]
Count = Annotated[int, Meta(ge=1, le=1000)]
Right = Annotated[int, Meta(ge=0, le=1000)]
Group = Annotated[int, Meta(ge=1, le=20)]
Span = tuple[Annotated[int, Meta(ge=0, le=1000)], Annotated[int, Meta(ge=0, le=1000)]]

Way = Literal["typing", "paper"]
SoundState = Literal["off", "on", "lost", "silent"]
Hearing = Literal["every", "loudspeaker", "headphones", "home"]
Phase = Literal["counting in", "sounding", "paused", "stopped", "tidying", "waiting", "closed", "revealed"]
StepNumber = Annotated[int, Meta(ge=1, lt=1_000_000)]
Emphasis = Literal["words", "unlike", "traffic", "own"]
View = Literal["console", "wall"]
Scope = Literal["run", "evening", "course"]
DoorCode = Annotated[str, Meta(max_length=24)]
"""A room's code, or "" for the latest one."""
ClassSize = Annotated[int, Meta(ge=1, le=1200)]
Title = Annotated[str, Meta(max_length=60)]
CoursePlace = Annotated[int, Meta(ge=0, lt=64)]
MeetingCount = Annotated[int, Meta(ge=1, le=200)]
Minutes = Annotated[float, Meta(ge=5.0, le=240.0)]
Days = Annotated[int, Meta(ge=1, le=60)]
