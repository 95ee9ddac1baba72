"""Words by what they are about, and a class's own list of them."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.core.themes import THEMES
from scripted_room import ScriptedRoom, refusal, sends


def _words(play: ScriptedRoom, **asked: Any) -> str:
    """The text proposed for words of all letters."""
    letters = {
        "purpose": "words",
        "symbols": "ABCDEFGHIJKLMNOPQRSTUVWXYZ",
        "count": 40,
        "group": 5,
        "text": "",
    }
    return sends(play.console("compose", **letters | {"seed": 4} | asked), "proposal")[0].payload["text"]


def test_words_are_about_what_was_asked_for(play: ScriptedRoom) -> None:
    assert set(_words(play, about="radio").split()) <= set(THEMES["radio"])
    play.console("keep_words", words="tent, Rope;kettle\nTENT • lamp")
    assert play.state.own_words == ("LAMP", "ROPE", "TENT", "KETTLE")
    assert set(_words(play, about="own").split()) == set(play.state.own_words)
    play.console("keep_words", words="  ")
    assert play.state.own_words == ()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("KÄSE", "Ä has no signal in the code"),
        ("TENT " + "A" * 21, "A" * 21 + " has 21 sounds; a word of the list has 20 at most."),
        (
            " ".join(f"{a}{b}{c}" for a in "ABCDEFGH" for b in "ABCDEFGH" for c in "ABCDEFGH"),
            "has 512 words; 300",
        ),
    ],
)
def test_a_list_that_cannot_be_kept_is_refused_in_words_and_the_one_before_stays(
    play: ScriptedRoom, words: str, sentence: str
) -> None:
    play.console("keep_words", words="TEA")
    assert sentence in refusal(play.console("keep_words", words=words))
    assert play.state.own_words == ("TEA",)


def test_words_of_a_list_that_wait_for_a_sound_say_for_which(play: ScriptedRoom) -> None:
    asked = {
        "purpose": "words",
        "symbols": "TE",
        "count": 9,
        "group": 5,
        "text": "",
        "seed": 1,
        "about": "own",
    }
    assert refusal(play.console("compose", **asked)).startswith("The class has no words of its own yet")
    play.console("keep_words", words="TEA KITE")
    assert refusal(play.console("compose", **asked)).endswith("TEA needs A as well.")


def test_signs_outside_the_recommendation_are_sent_only_when_the_class_asks(
    play: ScriptedRoom,
) -> None:
    own = {"purpose": "own", "symbols": "", "count": 1, "group": 5, "seed": 1}
    assert "no signal in the code" in refusal(play.console("compose", **own, text="GRÜN"))
    mix = own | {"purpose": "mix", "symbols": "EÜ", "text": ""}
    assert refusal(play.console("compose", **mix)).startswith("Ü is outside the recommendation")
    play.console("allow_additions", on=True)
    assert sends(play.console("compose", **own, text="Grün"), "proposal")[0].payload["text"] == "GRÜN"
    play.seat_three()
    play.console("send_text", **own, text="GRÜN ␇", name_shown=False, counted=True)
    run = play.push
    assert run.sent == "GRÜN␇"
    play.to_tidying()


def test_what_is_outside_the_recommendation_is_copied_and_counted_like_any_sound(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("allow_additions", on=True)
    own = {"purpose": "own", "symbols": "", "count": 1, "group": 5, "seed": 1, "text": "Ü ␇ A"}
    play.console("send_text", **own, name_shown=False, counted=True)
    play.copies_all(1, "Ü␇N")
    play.to_tidying()
    play.console("close")
    play.settle()
    assert {("Ü", "Ü"), ("␇", "␇"), ("A", "N")} <= play.cells().keys()
    assert play.replayed().cells() == play.cells()
