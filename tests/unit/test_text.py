"""What may be typed, after Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clauses 3, 4 (second-hand)."""

# ruff: noqa: RUF001 - look-alikes of plain signs are the subject

import pytest

from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.text import TextError, display, normalise

LINE = "\u0305"


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ("2%", "2-0/0"),  # clause 3.3.2, as quoted
        ("4½‰", "4-1/2-0/00"),  # clause 3.3.2, as quoted
        ("1¾", "1-3/4"),  # clause 4.3, as quoted
        ("%", "0/0"),  # clause 3.3.1
        ("‰", "0/00"),  # clause 3.3.1
        ("3×4", "3X4"),  # clause 3.2.1
        ("6′", "6'"),  # clause 3.5.1
        ("6′30″", "6'30''"),  # clause 3.5.1
        ("25th", "25TH"),  # clause 4.2, from memory
    ],
)
def test_sign_without_a_signal_is_sent_as_the_recommendation_says(raw, text):
    assert normalise(raw) == text


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ("2.5 %", "2.5-0/0"),
        ("50%5", "50-0/0 5"),
        ("½ ¼", "1/2 1/4"),
        ("½½", "1/2 1/2"),
        ("⅓%", "1/3-0/0"),
        ("5 ½", "5 1/2"),
        ("1 3/4", "1 3/4"),
        ("13⁄4", "13/4"),
        ("a%", "A0/0"),
    ],
)
def test_figures_never_run_into_a_fraction_or_per_cent(raw, text):
    assert normalise(raw) == text


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ("“Hi” — it’s ‘so’ …", "\"HI\" - IT'S 'SO' ..."),
        ("a‐b‑c‒d–e—f―g−h", "A-B-C-D-E-F-G-H"),
        ("«ja» „nein“", '"JA" "NEIN"'),
        ("10÷2", "10:2"),
        ("Ｐａｒｉｓ ﬁne", "PARIS FINE"),
        ("soft\u00adhy\u200bphen\ufe0f", "SOFTHYPHEN"),
        ("  a\r\n\tb\u00a0c\u2003d ", "A B C D"),
        ("é e\u0301 É", "É É É"),
    ],
)
def test_typographic_variants_become_plain_signs(raw, text):
    assert normalise(raw) == text


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (f"s{LINE}k{LINE}", "␄"),
        (f"V{LINE}A{LINE}", "␄"),
        (f"A{LINE}R{LINE}", "+"),
        (f"B{LINE}T{LINE}K{LINE}N{LINE}", "=("),
        (f"tu S{LINE}K{LINE} e", "TU ␄ E"),
        ("S\u0304K\u0304", "␄"),
        ("S\u035eK", "␄"),
        ("SK", "SK"),
        (f"I{LINE}M{LINE}I{LINE}", "?"),
        ("␄ ␘", "␄ ␘"),
    ],
)
def test_letters_under_a_line_are_one_symbol(raw, text):
    assert normalise(raw) == text


@pytest.mark.parametrize(
    ("raw", "position", "character", "instead"),
    [
        ("HALLO ÄRA", 6, "Ä", "send AE or A"),
        ("o\u0308l", 0, "ö", "send OE or O"),
        ("a & b", 2, "&", "send AND"),
        ("Now!", 3, "!", "a full stop"),
        ("5 $", 2, "$", "DOLLARS"),
        ("a;b", 1, ";", "a comma"),
        ("a_b", 1, "_", "a hyphen"),
        ("ñ", 0, "ñ", "send N"),
        ("straße", 4, "ß", "send SS"),
        ("10²", 2, "²", "words"),
        ("٣", 0, "٣", "send 3"),
        ("ok 😀", 3, "😀", "words"),
        ("a\x00", 1, "\x00", "U+0000"),
        (f"x S{LINE}O{LINE}S{LINE}", 2, "S", "SOS under one line has no signal"),
        (f"K{LINE}", 0, "K", "without the line"),
        ("Ī", 0, "Ī", "send I"),
        ("", 0, "", "write at least one"),
        (" \n\u200b", 0, "", "write at least one"),
    ],
)
def test_what_cannot_be_sent_is_refused_with_its_place_and_what_to_send(raw, position, character, instead):
    with pytest.raises(TextError) as caught:
        normalise(raw)
    assert (caught.value.position, caught.value.character) == (position, character)
    assert instead in str(caught.value)
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


def test_all_that_cannot_be_sent_is_named_at_once_each_with_its_way_out():
    with pytest.raises(TextError) as caught:
        normalise("ÄB ~ [C] D{ ä")
    assert (caught.value.position, caught.value.character) == (0, "Ä")
    assert str(caught.value) == (
        "Ä ä have no signal in the code: send AE or A."
        " ~ has no signal in the code: send the word ABOUT."
        " [ { have no signal in the code: send a round bracket (."
        " ] has no signal in the code: send a round bracket )."
    )


def test_a_text_in_another_script_is_refused_in_a_sentence_that_can_be_read():
    with pytest.raises(TextError) as caught:
        normalise("".join(map(chr, range(0x4E00, 0x4E64))))
    assert "and 80 more have no signal" in str(caught.value)
    assert len(str(caught.value)) < 300


def test_display_shows_a_line_only_over_signals_without_a_mark():
    assert display("R ␄ +") == f"R S{LINE}K{LINE} +"


def test_every_symbol_survives_display():
    everything = " ".join(one.sign for one in RECOMMENDED)
    assert normalise(display(everything)) == everything


def test_signs_outside_the_recommendation_are_sent_only_when_asked_for():
    assert normalise("grün s\u0305o\u0305s\u0305 b\u0305k\u0305", additions=True) == "GRÜN ␇ ␛"
    assert normalise(display("Ö ␇"), additions=True) == "Ö ␇"
    assert normalise("a\u0305a\u0305", additions=True) == "Ä"
    for raw in ("grün", "s\u0305o\u0305s\u0305", "b\u0305k\u0305", "a\u0305a\u0305", "␇"):
        with pytest.raises(TextError, match="no signal in the code"):
            normalise(raw)
