"""A contact to be asked about: ten facts between two invented stations, and a question on each.

DE and QTH are those of Recommendation ITU-R M.1172; RST, ANT, PWR, WX, HW and where `=` stands are common
practice. Calls are invented ones of the amateur form, and are practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from copyroom.core.composition import practice_calls
from copyroom.core.wording import NAMES, TOWNS

_ANTENNAS = "DIPOLE|LOOP|VEE|YAGI|WHIP|LONG WIRE|QUAD".split("|")
_SKIES = "SUN|RAIN|SNOW|FOG|WIND|HAZE|FROST".split("|")
_TRADES = "BAKER|NURSE|JUDGE|COOK|PILOT|VET|CLERK|FARMER|JOINER".split("|")
_REPORTS = "599|579|589|559|449|339|478|567".split("|")


@dataclass(frozen=True, slots=True)
class ContactParts:
    """Phrases in their order, and questions on them with the answers."""

    parts: tuple[str, ...]
    questions: tuple[tuple[str, str], ...]


def contact_parts(alphabet: str, rng: np.random.Generator) -> ContactParts:
    """One contact. Its alphabet must hold letters, figures and `=`; else ValueError says so."""
    if not set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789=") <= set(alphabet):
        raise ValueError("A contact needs all letters, the figures and the double hyphen.")
    called, calling = _two_calls(alphabet, rng)

    def one(options: list[str] | tuple[str, ...]) -> str:
        return str(options[int(rng.integers(len(options)))])

    report, name, town, antenna = one(_REPORTS), one(tuple(NAMES)), one(TOWNS), one(_ANTENNAS)
    power, degrees, age = (str(rng.integers(low, high)) for low, high in ((5, 100), (2, 31), (18, 81)))
    sky, trade = one(_SKIES), one(_TRADES)
    parts = (
        f"{called} DE {calling}", "=", f"RST {report}", f"NAME {name}", f"QTH {town}", "=",
        f"PWR {power} W", f"ANT {antenna}", f"WX {sky} {degrees} C", f"AGE {age}", f"JOB {trade}", "HW",
    )  # fmt: skip
    questions = (
        ("Which station was called?", called), ("Which station was sending?", calling),
        ("What report was given?", report), ("What is the name of who sent?", name),
        ("Where does the sending station stand?", town), ("How many watts does it use?", power),
        ("What is its antenna?", antenna), ("What is the weather?", sky),
        ("How many degrees is it?", degrees), ("What is the age of who sent?", age),
        ("What is the trade of who sent?", trade),
    )  # fmt: skip
    return ContactParts(parts, questions)


def _two_calls(alphabet: str, rng: np.random.Generator) -> list[str]:
    calls: list[str] = []
    while len(set(calls)) < 2:
        calls = [*calls, *practice_calls(alphabet, 8, rng).split()]
    return list(dict.fromkeys(calls))[:2]
