"""Composition: texts made to be copied, from the symbols a class knows.

Every function is pure: chance comes in as a numpy Generator, the word list as an argument. `count` is
always a number of sounds; spaces are free.
"""

from __future__ import annotations

import string
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import WORD_SPACE, by_table_order, symbol
from copyroom.core.draws import draw
from copyroom.core.similarity import likeness

FIGURES = "0123456789"
USEFUL_WORDS = 40
"""So many words of a list's beginning come about equally often; then ever more rarely."""
FIRST_ALONE, ODD_ONE_IN, UNLIKE = 3, 4, 3
"""Of a sound to be met: how often it comes first, and after that how many are one of so many others."""


def mixed_groups(
    symbols: str,
    count: int,
    rng: np.random.Generator,
    *,
    group: int = 5,
    weights: Sequence[float] | None = None,
    recent: str = "",
) -> str:
    """Groups of known symbols, each heard about as often as its weight asks, and none to be foreseen.

    None is absent for more than about five sounds for each symbol in play, and none comes three times
    running unless one or two are in play (`draws`).

    Parameters
    ----------
    symbols : the distinct signs in play.
    count : sounds, at least 1.
    group : signs between spaces; the last group may be shorter.
    weights : one for each of `symbols`, none negative, not all 0; equal when left out.
    recent : what was sent just before, newest last: waits go on from there.

    Raises
    ------
    ValueError
        For an argument outside the above, or a sign that is not a symbol.
    """
    shares = _shares(symbols, weights)
    in_play = "".join(sign for sign, share in zip(symbols, shares, strict=True) if share > 0.0)
    before = [in_play.index(sign) for sign in recent if sign in in_play]
    drawn = draw(shares[shares > 0.0], _checked_count(count), rng, recent=before)
    return _grouped([in_play[place] for place in drawn], group)


def tell_apart(
    symbols: str, count: int, rng: np.random.Generator, *, group: int = 5, recent: str = ""
) -> str:
    """A contrast drill: a few sounds that get mixed up, evenly, close together, and none to be foreseen.

    Of two sounds each may come five times running: a shorter limit would tell the next one, and guessing
    is not hearing. Arguments and errors as in `mixed_groups`.
    """
    return mixed_groups(symbols, count, rng, group=group, recent=recent)


def one_symbol(sign: str, count: int, *, group: int = 5) -> str:
    """One sound over and over, to meet it. Raises ValueError when `sign` is not one symbol."""
    return _grouped([symbol(sign).sign] * _checked_count(count), group)


def meet(sign: str, others: str, count: int, rng: np.random.Generator, *, group: int = 5) -> str:
    """A sound to be met by ear: it comes many times, with a different one now and then to keep ears open.

    The first three are always the new sound. After that one in four is one of the `others` least like it,
    never where it could be foreseen and never two together (many repeats with attention, and one odd one
    among them: W. G. Pierpont, *The Art and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 3).

    Raises ValueError when `sign` is not one symbol.
    """
    new = symbol(sign).sign
    sounds = [new] * _checked_count(count)
    odd_ones = "".join(other for other in others if other != new)
    odd = (count - FIRST_ALONE) // ODD_ONE_IN if odd_ones else 0
    if odd > 0:
        unlike = np.argsort(likeness(new + odd_ones)[0, 1:], kind="stable")[:UNLIKE]
        free = np.arange(FIRST_ALONE, count - odd + 1)
        places = np.sort(rng.choice(free, odd, replace=False))
        for k, place in enumerate(places + np.arange(odd)):  # never two together
            sounds[place] = odd_ones[unlike[k % len(unlike)]]
    return _grouped(sounds, group)


def figures(count: int, rng: np.random.Generator, *, group: int = 5) -> str:
    """Groups of figures."""
    return mixed_groups(FIGURES, count, rng, group=group)


def known_words(words: Sequence[str], symbols: str, count: int, rng: np.random.Generator) -> str:
    """Words made of known symbols only, about `count` sounds in all and never more.

    A word comes the more readily the earlier it stands in the list and the more its sounds are rare ones
    that have not been in the text yet. It comes again only when all that fit have been used. A `count`
    shorter than every such word gives the shortest one.

    words : the most useful ones first.

    Raises
    ------
    ValueError
        When no word of the list is made of `symbols` alone.
    """
    known = set(symbols)
    able = list(dict.fromkeys(word for word in words if known.issuperset(word)))
    if not able:
        raise ValueError(_no_word(words, symbols))
    lengths = np.array([len(word) for word in able])
    has = np.array([[sign in word for sign in symbols] for word in able])
    rarity = 1.0 / np.sqrt(np.maximum(has.mean(axis=0), 1.0 / len(able)))
    useful = 1.0 / (USEFUL_WORDS + np.arange(len(able)))
    is_free, is_heard = np.ones(len(able), bool), np.zeros(len(symbols), bool)
    left, chosen = _checked_count(count), list[str]()
    while (lengths <= left).any():
        if not (is_free & (lengths <= left)).any():
            is_free[:] = True
        unheard = has @ (rarity * ~is_heard) / lengths
        chances = useful * (1.0 + unheard) * (is_free & (lengths <= left))
        reach = chances.cumsum()
        at = int(reach.searchsorted(rng.random() * reach[-1], side="right"))
        is_free[at], left = False, left - len(able[at])
        is_heard |= has[at]
        chosen.append(able[at])
    return WORD_SPACE.join(chosen or [min(able, key=len)])


_ALONE = "BFGIKMNRW"
"""Radio Regulations 19.68: the prefixes of one character."""
_PREFIXES = frozenset(
    {a + b for a in string.ascii_uppercase.replace("Q", "") for b in string.ascii_uppercase}
    | {a + b for a in "23456789" for b in string.ascii_uppercase}
    | {a + b for a in "ACDLPY" for b in "23456789"}
    | {a + b for a in "JTV" for b in "2345678"}
    | {"E2", "E3", "E4", "E5", "E6", "E7", "H2", "H3", "H4", "H6", "H7", "H8", "H9"}
    | {"S2", "S3", "S5", "S6", "S7", "S8", "S9", "Z2", "Z3", "Z8"}
) - {"3D", "4N", "PJ", "SS", "YZ"} | frozenset(_ALONE)  # 3D, PJ and SS are split between countries
"""Prefixes whose whole series belongs to one country: Radio Regulations, Appendix 42."""
_OFTEN = """
    W 7 K 7 N 4 AA 1 AB 1 AC 1 AD 1 AE 1 KA 1 KB 1 KC 2 KD 2 KE 1 KF 1 KG 1 WA 1 WB 1 JA 5 JE 1 JF 1 JH
    1.5 JR 1 DL 6 DK 2 DJ 1.5 DF 1.5 DG 1 DH .7 DO .7 G 4 M 3 GM .7 GW .7 F 5 I 3 IK 2 IZ 2 IW 1 IU 1 EA 5
    EB 1 EC .5 R 2 RA 2 UA 3 RK .7 RW .7 SP 4 SQ 1 SN .4 UR 3 UT 1.5 US 1 UX .7 OK 3 OM 1 HA 2 HG .5 HB 2
    OE 2 ON 2.5 PA 3 PD .6 SM 2.5 SA .7 OH 2.5 LA 1.5 OZ 1.5 S5 1.5 9A 1.5 YU 1.2 YT .5 YO 2 LZ 1.5 SV 1.2
    EI 1 CT 1.2 LY 1 YL .8 ES .6 E7 .6 Z3 .4 VE 3 VA 1 VK 1.5 ZL .8 PY 2.5 PU 1 LU 1.5 CE .7 CX .4 YV .7
    XE .8 CO .6 BG .8 BD .6 BH .5 BY .3 HL 1.2 DS .6 YB 1 DU .6 HS .6 VU 1.2 4X 1 4Z .6 TA .7 A6 .4 ZS .8
    CN .5 5B .5 UN .7 EU .5 EW .7 ER .3 4L .3 9V .2 TF .3
""".split()
"""How often a prefix is heard against the others: invented weights, so that the common ones come often and
the rare ones now and then, as on a band; no count of anything."""
_HEARD = {prefix: float(weight) for prefix, weight in zip(_OFTEN[::2], _OFTEN[1::2], strict=True)}
_RARELY = 0.03
"""The weight of each of the others."""
_NOT_AS_SUFFIX = frozenset({"SOS", "PAN", "XXX", "TTT", "DDD", "CQD"})
"""Radio Regulations 19.47: nothing that could be taken for distress, urgency or safety."""


def practice_calls(symbols: str, count: int, rng: np.random.Generator) -> str:
    """Invented call signs of the amateur form made of known symbols, about `count` sounds, never more.

    Prefixes come by weights that are invented, common ones often. The form is that of the Radio
    Regulations, 19.68: a prefix, one figure that is not 0 or 1, and a suffix of letters, here one to three.
    Such a call may belong to somebody by accident: whatever shows these texts calls them practice. A `count`
    under the length of a call gives one call.

    Raises
    ------
    ValueError
        When the symbols make no call.
    """
    digits = [sign for sign in "23456789" if sign in symbols]
    letters = [sign for sign in string.ascii_uppercase if sign in symbols]
    prefixes = sorted(prefix for prefix in _PREFIXES if set(prefix) <= set(symbols))
    if not digits or not letters or not prefixes:
        raise ValueError("A call sign needs at least one letter and one figure from 2 to 9.")
    reach = np.cumsum([_HEARD.get(prefix, _RARELY) for prefix in prefixes])
    left = _checked_count(count)
    calls: list[str] = []
    while left >= 3 or not calls:
        call = _call(prefixes, reach, digits, letters, rng)
        if len(call) > left and calls:
            break
        calls.append(call)
        left -= len(call)
    return WORD_SPACE.join(calls)


def _call(
    prefixes: list[str],
    reach: NDArray[np.float64],
    digits: list[str],
    letters: list[str],
    rng: np.random.Generator,
) -> str:
    prefix = prefixes[int(reach.searchsorted(rng.random() * reach[-1], side="right"))]
    while True:
        suffix = "".join(rng.choice(letters, rng.choice([1, 2, 3], p=[0.1, 0.4, 0.5])))
        # 19.48: no abbreviation of the service; those of three letters that start with Q are all of them.
        if suffix not in _NOT_AS_SUFFIX and not (len(suffix) == 3 and suffix[0] == "Q"):
            return prefix + str(rng.choice(digits)) + suffix


def _shares(symbols: str, weights: Sequence[float] | None) -> NDArray[np.float64]:
    if not symbols or len(set(symbols)) < len(symbols):
        raise ValueError(f"need distinct symbols to choose from, not {symbols!r}")
    for sign in symbols:
        symbol(sign)
    shares = np.ones(len(symbols)) if weights is None else np.asarray(weights, dtype=float)
    if shares.shape != (len(symbols),) or not np.all(shares >= 0) or not 0 < shares.sum() < np.inf:
        raise ValueError(f"need one weight for each of {symbols!r}, none negative, not all 0: {weights!r}")
    normed: NDArray[np.float64] = shares / shares.sum()
    return normed


def _no_word(words: Sequence[str], symbols: str) -> str:
    """That no word can be made, and the sounds that the nearest one still needs."""
    said = f"No word of the list is made of {by_table_order(symbols) or 'nothing'} alone"
    if not words:
        return f"{said}: it is empty."
    nearest = min(words, key=lambda word: (len(set(word) - set(symbols)), len(word)))
    missing = by_table_order("".join(set(nearest) - set(symbols)))
    return f"{said}; {nearest} needs {' and '.join(missing)} as well."


def _grouped(signs: list[str], group: int) -> str:
    if group < 1:
        raise ValueError(f"a group has at least one sign, not {group}")
    sent = "".join(signs)
    return WORD_SPACE.join(sent[i : i + group] for i in range(0, len(sent), group))


def _checked_count(count: int) -> int:
    if count < 1:
        raise ValueError(f"a text has at least one sound, not {count}")
    return count
