"""The README's picture of a phone: made from the running program, and held to show the amber of sound."""

from __future__ import annotations

import base64
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page

from classroom import Instructor, Server
from learner_page import button, heading, join, set_sound, settle, type_along, written

GUIDE = Path(__file__).parents[2] / "static" / "guide" / "phone.png"
TEXT = "ORLAN VUD4R NOVAL 4NDOU ROLAD VUNAR DOLAN"
COPIED = "ORLANVUD_RNOVAL4ND_"

AMBER = """async ([source, colour]) => {
  const picture = new Image();
  picture.src = source;
  await picture.decode();
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [picture.width, picture.height];
  const pen = canvas.getContext('2d');
  pen.fillStyle = colour;
  pen.fillRect(0, 0, 1, 1);
  const amber = pen.getImageData(0, 0, 1, 1).data.join();
  pen.drawImage(picture, 0, 0);
  const { data } = pen.getImageData(0, 0, picture.width, picture.height);
  let count = 0;
  for (let i = 0; i < data.length; i += 4) count += data.slice(i, i + 4).join() === amber;
  return [count, picture.width, picture.height];
}"""


def amber(page: Page, picture: Path) -> list[int]:
    """How many pixels have the page's own colour of sound, and the picture's size."""
    source = f"data:image/png;base64,{base64.b64encode(picture.read_bytes()).decode()}"
    colour = page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--lamp').trim()")
    counted: list[int] = page.evaluate(AMBER, [source, colour])
    return counted


def test_the_guides_phone_shows_the_amber_of_a_running_sound(
    server: Server, code: str, instructor: Instructor, person: Callable[..., Page], pictures: Path
) -> None:
    """Whoever changes the page copies the picture made here to `static/guide`."""
    page = person()
    join(page, server, code)
    settle(page)
    set_sound(instructor, wpm=60.0)
    own = {"purpose": "own", "symbols": "", "count": 1, "group": 5, "text": TEXT, "seed": 0}
    push = instructor.ask("send_text", own | {"name_shown": False, "counted": True}, "push")
    heading(page, "Write what you hear")
    type_along(page, instructor, push | {"edges": push["edges"][: len(COPIED)]}, COPIED)
    written(instructor, len(COPIED))
    made = pictures / "phone.png"
    page.screenshot(path=made, animations="disabled")
    assert button(page, "blank").is_visible()
    caret = amber(page, made)
    assert caret[0] > 50
    shown = amber(page, GUIDE)
    assert shown[0] > 50, "the picture in the README has lost its amber: copy build/pictures/phone.png"
    assert shown[1:] == caret[1:]
