"""The alphabet against Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clauses 1.1.1 to 1.1.3.

The tables were typed in from public text tables that quote the recommendation and agree with each
other (second-hand: the document itself was not at hand), and without looking at the program's own.
"""

import pytest

from copyroom.core.alphabet import (
    ADDITIONS,
    BLANK,
    BY_ELEMENTS,
    INDEX,
    JOINED,
    RECOMMENDED,
    SYMBOLS,
    WORD_SPACE,
    by_table_order,
    symbol,
)

LETTERS = {
    **{"A": ".-", "B": "-...", "C": "-.-.", "D": "-..", "E": ".", "É": "..-..", "F": "..-.", "G": "--."},
    **{"H": "....", "I": "..", "J": ".---", "K": "-.-", "L": ".-..", "M": "--", "N": "-.", "O": "---"},
    **{"P": ".--.", "Q": "--.-", "R": ".-.", "S": "...", "T": "-", "U": "..-", "V": "...-", "W": ".--"},
    **{"X": "-..-", "Y": "-.--", "Z": "--.."},
}
FIGURES = {
    **{"1": ".----", "2": "..---", "3": "...--", "4": "....-", "5": "....."},
    **{"6": "-....", "7": "--...", "8": "---..", "9": "----.", "0": "-----"},
}
MARKS = {
    **{".": ".-.-.-", ",": "--..--", ":": "---...", "?": "..--..", "'": ".----.", "-": "-....-"},
    **{"/": "-..-.", "(": "-.--.", ")": "-.--.-", '"': ".-..-.", "=": "-...-", "+": ".-.-.", "@": ".--.-."},
}
SIGNALS = {
    **{"understood": "...-.", "error": "........", "wait": ".-..."},
    **{"end of work": "...-.-", "starting signal": "-.-.-"},
}
JOINED_LETTERS = {
    **{"VE": "...-.", "SN": "...-.", "SK": "...-.-", "VA": "...-.-", "KA": "-.-.-", "CT": "-.-.-"},
    **{"AS": ".-...", "AR": ".-.-.", "BT": "-...-", "KN": "-.--.", "HH": "........"},
}


@pytest.mark.parametrize(("sign", "elements"), (LETTERS | FIGURES | MARKS).items())
def test_sign_has_the_sound_of_the_recommendation(sign, elements):
    assert symbol(sign).elements == elements


@pytest.mark.parametrize(("name", "elements"), SIGNALS.items())
def test_signal_without_a_mark_has_the_sound_of_the_recommendation(name, elements):
    assert BY_ELEMENTS[elements].name == name
    assert BY_ELEMENTS[elements].kind == "signal"


def test_nothing_beyond_the_recommendation_is_a_symbol_unless_it_is_marked():
    known = {**LETTERS, **FIGURES, **MARKS, **SIGNALS}
    assert {one.elements for one in RECOMMENDED} == set(known.values())
    assert len(RECOMMENDED) == len(known) == 55
    assert not any(one.added for one in RECOMMENDED)


# Letters as in public tables of national letters that agree (second-hand); the two signals are their letters
# run together (common practice).
ADDED = {
    **{"Ä": ".-.-", "Å": ".--.-", "Ñ": "--.--", "Ö": "---.", "Ü": "..--"},
    **{"BK": LETTERS["B"] + LETTERS["K"], "SOS": LETTERS["S"] + LETTERS["O"] + LETTERS["S"]},
}


def test_additions_are_marked_stand_last_and_sound_like_nothing_else():
    assert SYMBOLS == RECOMMENDED + ADDITIONS
    assert {one.joined or one.sign: one.elements for one in ADDITIONS} == ADDED
    assert all(one.added for one in ADDITIONS)
    assert len(BY_ELEMENTS) == len(SYMBOLS)


@pytest.mark.parametrize(("letters", "elements"), JOINED_LETTERS.items())
def test_joined_signal_is_its_letters_run_together(letters, elements):
    assert elements == "".join(LETTERS[letter] for letter in letters)
    assert JOINED[letters].elements == elements


def test_every_symbol_is_one_sound_and_one_code_point():
    assert len(BY_ELEMENTS) == len(INDEX) == len(SYMBOLS)
    assert all(len(one.sign) == 1 for one in SYMBOLS)
    assert not {BLANK, WORD_SPACE} & INDEX.keys()


@pytest.mark.parametrize("sign", [BLANK, WORD_SPACE, "a", "À", "!", "", "AB"])
def test_what_is_not_a_symbol_is_named_in_the_error(sign):
    with pytest.raises(ValueError, match="is not a symbol") as caught:
        symbol(sign)
    assert repr(sign) in str(caught.value)


def test_table_order_is_letters_then_figures_then_marks():
    assert by_table_order("?K5A K_") == "AK5?"
