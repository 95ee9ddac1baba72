"""The forms that are shipped: what published rules ask, beside their source. Wording changes: check the year.

Laws and treaties by citation and year, as read or quoted in public texts; bodies by kind, country and the
year where it is known. What a source leaves open, and what we chose for it, stands in the form's `note`.
"""

from __future__ import annotations

from copyroom.core.checks.counting import EACH_ONE
from copyroom.core.checks.form import FIGURES, LETTERS, Form, Passing, Text
from copyroom.core.usage import EXAMINED_SIGNS

_MINUTE = Passing("unbroken", 1.0)
_NO_ERROR = Passing("errors", 0)
_MIXED = LETTERS + FIGURES

_LAW = (
    Form(
        "us-1990", "Telegraphy element, receiving", "47 CFR 97.503 (1990 to 2000)", "receive", "contact",
        (5, 13, 20), 6, (_MINUTE, Passing("questions", 7, 10)), required=EXAMINED_SIGNS,
        alphabet=EXAMINED_SIGNS, character_wpm=13,
        note="One minute without an error, or seven of ten questions, is how volunteer examiners passed it;"
        " the"
        " law asks at least five minutes, the sixth leaves room for all symbols at 5 wpm.",
    ),
    Form(
        "us-2007", "Telegraphy element, receiving, 5 wpm", "47 CFR 97.507(d) (2007)", "receive", "words",
        (5,), 5, (_MINUTE,), required=EXAMINED_SIGNS, alphabet=EXAMINED_SIGNS, character_wpm=13,
        note="The law asks each symbol at least once, and a text that the candidate does not know.",
    ),
    Form(
        "us-send", "Telegraphy element, sending", "47 CFR 97.503 (1990 to 2000)", "send", "words",
        (5, 13, 20), 5, (_MINUTE,), required=EXAMINED_SIGNS, alphabet=EXAMINED_SIGNS,
        note="By hand. How the minute is judged is the examiner's.",
    ),
    Form(
        "us-commercial-groups", "Commercial telegraphy, code groups", "47 CFR 13.207(c) (2002 to 2016)",
        "receive", "mixed", (16, 20), 5, (_MINUTE,), required=LETTERS + FIGURES + ".,?/",
        alphabet=_MIXED + ".,?/",
        note="Sixteen groups a minute for the second class, twenty for the first, by summaries of the rule. A"
        " group is five counted characters.",
    ),
    Form(
        "us-commercial-plain", "Commercial telegraphy, plain text", "47 CFR 13.207(c) (2002 to 2016)",
        "receive", "words", (20, 25), 5, (_MINUTE,), required=EXAMINED_SIGNS, alphabet=EXAMINED_SIGNS,
        note="Twenty-five for the first class by summaries of the rule; twenty for the second is from"
        " memory.",
    ),
    Form(
        "treaty-groups", "First and second class, code groups",
        "General Radio Regulations, Cairo 1938; Atlantic City 1947", "receive", "mixed", (16, 20), 5,
        (_NO_ERROR,),
        alphabet=_MIXED + ".,?/", note="Groups of letters, figures and marks; a figure or mark counts two."
        " The"
        " treaty says “correct”; what is forgiven was each administration's.",
    ),
    Form(
        "treaty-plain", "First class, plain language",
        "General Radio Regulations, Cairo 1938; Atlantic City 1947", "receive", "words", (25,), 5,
        (_NO_ERROR,),
        alphabet=LETTERS + ".,?", note="The mean word has five characters. The treaty says “correct”.",
    ),
    Form(
        "treaty-send", "First and second class, sending code groups",
        "General Radio Regulations, Cairo 1938; Atlantic City 1947", "send", "mixed", (16, 20), 5,
        (_NO_ERROR,),
        alphabet=_MIXED + ".,?/", note="The treaty says “correct”; what is forgiven was each"
        " administration's.",
    ),
)  # fmt: skip


def _speed_telegraphy(text: Text, signs: str) -> Form:
    return Form(
        f"hst-{text}", f"High-speed telegraphy, {text}",
        "An international union of societies, Region 1, as read in 2026", "receive", text,
        (10, 15, 20, 25, 30), 1, (Passing("errors", 5),), counting=EACH_ONE, alphabet=signs,
        note="Groups of five; with more than five errors a text does not count. The slowest is 50 marks a"
        " minute; here a mark is a character and counts one, five of them a word, and the fastest is what"
        " can be keyed here.",
    )  # fmt: skip


_SOCIETIES = (
    Form(
        "nz-5", "Plain text at 5 wpm", "A national amateur society, New Zealand, as read in 2026", "receive",
        "words", (5,), 3, (Passing("errors", 4),), alphabet=_MIXED, figures=7, character_wpm=12, tidy_s=30,
        note="Letters and seven figures, no punctuation, no calls. The candidate chooses pitch and character"
        " speed; a lamp may stand for the sound. Up to five runs, a fresh text each. What the candidate can"
        " read back counts.",
    ),
    Form(
        "uk-plain", "Certificate, plain text", "A national amateur society, United Kingdom, as read in 2026",
        "receive", "words", (5, 10, 15, 20, 25, 30), 3, (Passing("errors", 4),), required="/?",
        alphabet=_MIXED + "/?", figures=4, note="Some figures, fraction bar and question mark; how many is"
        " ours.",
    ),
    Form(
        "uk-figures", "Certificate, five-figure groups",
        "A national amateur society, United Kingdom, as read in 2026", "receive", "figures",
        (5, 10, 15, 20, 25, 30), 1, (Passing("errors", 3),), alphabet=FIGURES,
        note="Which speed the groups keep is not said; here they are counted, a figure as two.",
    ),
    Form(
        "uk-novice", "Novice, 5 wpm", "A national licence test, United Kingdom, until 2003", "receive",
        "words",
        (5,), 6, (Passing("errors", 6),), counted=134, alphabet=_MIXED, figures=7, character_wpm=12,
        note="In the style of a contact: at least 120 letters and seven figures, characters at 12 wpm, six"
        " errors left uncorrected. From summaries.",
    ),
    Form(
        "us-certificate", "Speed certificate", "A national amateur society, United States, as read in 2026",
        "receive", "words", (10, 15, 20, 25, 30, 35, 40), 5, (_MINUTE,), alphabet=_MIXED + ".,?/",
        required=".,?", figures=4, note="One minute of perfect copy out of a longer run. From summaries.",
    ),
    Form(
        "cept", "Certificate of plain text", "An examiner's form, United States, as read in 2026", "receive",
        "words", (5, 7, 10, 12), 3, (_NO_ERROR,), speed_is="keying", alphabet=_MIXED + ".,?/", figures=4,
        note="Three minutes on end, “correctly”, at a keying speed (PARIS). The rule's own way of counting"
        " was not read.",
    ),
    Form(
        "cept-send", "Certificate of plain text, sending", "An examiner's form, United States, as read in"
        " 2026",
        "send", "words", (5, 7, 10, 12), 3, (_NO_ERROR,), speed_is="keying", alphabet=_MIXED + ".,?/",
        figures=4,
    ),
    _speed_telegraphy("letters", LETTERS), _speed_telegraphy("figures", FIGURES),
    _speed_telegraphy("mixed", _MIXED + ".,?/="),
    Form(
        "hst-send", "High-speed telegraphy, sending letters",
        "An international union of societies, Region 1, as read in 2026", "send", "letters",
        (10, 15, 20, 25, 30), 1, (Passing("errors", 3),), counting=EACH_ONE,
        note="With more than three errors a text does not count.",
    ),
)  # fmt: skip

_BADGES = (
    Form(
        "scout-us-strip", "Interpreter strip, copying", "A scout association, United States, as read in 2026",
        "receive", "words", (5,), 2, (_NO_ERROR,), note="A message of two minutes at 5 wpm or faster; how"
        " many"
        " errors is not said.",
    ),
    Form(
        "scout-us-strip-send", "Interpreter strip, sending", "A scout association, United States, as read in"
        " 2026",
        "send", "words", (5,), 5, (_NO_ERROR,), words=25, note="Twenty-five words.",
    ),
    Form(
        "scout-us-badge", "Signalling badge", "A scout association, United States, 1910 to 1992", "receive",
        "words", (7,), 5, (_NO_ERROR,), counting=EACH_ONE, words=35, character_wpm=10,
        note="At least 35 words by sound at 35 letters a minute; how many errors is not said.",
    ),
    Form(
        "scout-za", "Signaller", "A scout association, South Africa, as read in 2026", "receive", "words",
        (6,),
        5, (Passing("share", 0.9),), counting=EACH_ONE, counted=150, character_wpm=10,
        note="150 letters by buzzer at 30 letters a minute, nine tenths right; by lamp 25 a minute.",
    ),
    Form(
        "scout-in", "Signaller", "A scout and guide association, India, as read in 2026", "receive", "words",
        (6,), 5, (Passing("share", 0.9),), counting=EACH_ONE, counted=150, character_wpm=10,
        note="By buzzer 30 letters a minute, nine tenths right, in separate rooms. The length is ours.",
    ),
    Form(
        "scout-leading", "Leading signaller", "A traditional scout association, as read in 2026", "receive",
        "words", (8,), 4, (Passing("share", 0.9),), counting=EACH_ONE, counted=150, character_wpm=10,
        note="150 letters by buzzer at 40 letters a minute, nine tenths right; by lamp 30 a minute.",
    ),
    Form(
        "cub", "Ten-word message", "A traditional scout association, cubs, as read in 2026", "receive",
        "words",
        (5,), 3, (Passing("words", 8, 10),), counting=EACH_ONE, words=10, character_wpm=10,
        note="Eight of ten words right. The speed is ours.",
    ),
    Form(
        "guide-uk", "Signaller", "A guide association, United Kingdom, 1918 to 1924", "receive", "words",
        (5,), 4,
        (Passing("share", 0.9),), counting=EACH_ONE, counted=100, character_wpm=10,
        note="100 letters by buzzer in four minutes. From summaries; how many must be right is ours.",
    ),
)  # fmt: skip

FORMS: dict[str, Form] = {form.key: form for form in (*_LAW, *_SOCIETIES, *_BADGES)}
"""By their key."""
