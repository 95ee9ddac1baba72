"""A fault that comes again and again has one line a second."""

from __future__ import annotations

import logging

from copyroom.shell.log_lines import OneASecond


class Heard(logging.Handler):
    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def test_a_fault_has_one_line_a_second_and_the_next_says_how_many_there_were() -> None:
    now_s, heard, log = 0.0, Heard(), logging.Logger("test")
    heard.addFilter(OneASecond(lambda: now_s))
    log.addHandler(heard)
    for n in range(1000):
        log.warning("frame=malformed from=%d", n)
    log.warning("another=fault")
    now_s = 1.0
    log.warning("frame=malformed from=%d", 7)
    assert heard.lines == ["frame=malformed from=0", "another=fault", "frame=malformed from=7 left_out=999"]
