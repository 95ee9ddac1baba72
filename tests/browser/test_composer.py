"""What comes next, composed: looked at, warned of, sent or put in the plan."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

from classroom import Learner
from console_page import button, choose, dialog, send_own_text, settle, sounded_some, wait_for_silence, write


def test_composed_text_is_previewed_and_made_of_the_chosen_sounds(console: Page) -> None:
    settle(console)
    choose(console, "Tell apart")
    for sign in "V4":
        button(console.get_by_role("group", name="Sounds in play"), sign).click()
    preview = console.get_by_role("group", name="Preview")
    expect(preview).to_contain_text("40 sounds")
    first = preview.inner_text()
    assert set(re.sub(r"\s|40 sounds.*", "", first)) == {"V", "4"}
    button(console, "Another text").click()
    expect(preview).not_to_have_text(first)


def test_text_with_an_unknown_sign_is_refused_in_a_sentence(console: Page) -> None:
    settle(console)
    choose(console, "Own text")
    console.get_by_role("textbox", name="Text", exact=True).fill("A ~ B")
    expect(console.get_by_role("group", name="Preview")).to_contain_text("~ has no signal in the code")
    expect(button(console, re.compile("Send to the class"))).to_be_disabled()


def test_words_are_about_a_theme_or_from_a_pasted_list_that_says_what_it_waits_for(console: Page) -> None:
    settle(console)
    choose(console, "Words")
    for sign in "TEANR":
        button(console.get_by_role("group", name="Sounds in play"), sign).click()
    preview = console.get_by_role("group", name="Preview")
    about = console.get_by_role("combobox", name="Words about")
    about.select_option("Camp and trail")
    expect(preview).to_contain_text("TENT")
    about.select_option("The class\u2019s own list")
    expect(preview).to_contain_text("The class has no words of its own yet")
    words = console.get_by_role("textbox", name="The class\u2019s own words")
    words.fill("Tea, Käse")
    button(console, "Keep this list").click()
    expect(preview).to_contain_text("ä has no signal in the code")
    expect(words).to_have_value("Tea, Käse")
    words.fill("tea, rent; TREE\nant quartz")
    button(console, "Keep this list").click()
    expect(words).to_have_value("ANT TEA RENT TREE QUARTZ")
    expect(console.get_by_text("5 words kept; 0 of known sounds alone.")).to_be_visible()
    expect(preview).to_contain_text("ANT")
    expect(preview).not_to_contain_text("QUARTZ")


def test_signs_outside_the_recommendation_are_offered_only_when_asked_for(console: Page) -> None:
    settle(console)
    choose(console, "Own text")
    joined = console.get_by_role("group", name="Put in a joined signal")
    expect(joined.get_by_role("button", name="SOS, distress")).to_have_count(0)
    button(console, "Change the known sounds").click()
    known = dialog(console, re.compile("Known so far"))
    outside = known.get_by_role("group", name="Outside the recommendation")
    expect(outside).to_have_count(0)
    known.get_by_role("checkbox", name="Offer national letters").check()
    expect(outside.get_by_role("button")).to_have_count(7)
    expect(button(outside, "U with two dots")).to_be_visible()
    console.keyboard.press("Escape")
    joined.get_by_role("button", name="SOS, distress").click()
    expect(console.get_by_role("group", name="Preview")).to_contain_text("1 sound,")


def test_sounds_that_nobody_has_met_are_named_before_a_counted_run(console: Page) -> None:
    settle(console)
    choose(console, "Own text")
    text = console.get_by_role("textbox", name="Text", exact=True)
    text.fill("AN")
    warning = console.get_by_text("Not met yet: A N")
    expect(warning).to_be_visible()
    console.get_by_role("checkbox", name="Count it in the table").uncheck()
    expect(warning).to_have_count(0)
    console.get_by_role("checkbox", name="Count it in the table").check()
    button(console, "Put in the plan").click()
    step = console.get_by_role("region", name="This evening").get_by_role("listitem").first
    expect(step).to_contain_text("not met yet: A N")
    expect(console.get_by_text("No sound yet.")).to_be_visible()
    button(step, re.compile("^Send it")).click()
    expect(console.get_by_text("No sound yet.")).to_have_count(0)


def test_both_sounds_of_a_pair_wait_while_the_class_sounds(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Bartholomew-Maximilian-A")
    name = button(console, "Bartholomew-Maximilian-A")
    assert name.evaluate("own => own.scrollWidth <= own.clientWidth"), "names are shown whole"
    send_own_text(console, "VV")
    write(ana, "UU")
    wait_for_silence(console)
    button(console, "Close").click()
    console.get_by_role("radio", name="This evening").check(force=True)
    button(console, "Next").click()
    send_own_text(console, "PARIS " * 20)
    expect(console.get_by_text("Most often this evening so far")).to_be_visible()
    both = button(console, "Hear both, V and U")
    expect(both).to_be_disabled()
    expect(both).to_have_attribute("title", "When the class has stopped sounding")
    sounded_some(console)
    console.keyboard.press("Escape")
    expect(both).to_be_enabled()


def test_the_key_for_the_main_button_sends_the_next_step_while_the_composer_has_nothing(
    console: Page,
) -> None:
    settle(console)
    button(console, "Plan this evening").click()
    expect(button(console, re.compile("^Send it: Meet "))).to_be_enabled()
    expect(button(console, re.compile("^Send to the class"))).to_be_disabled()
    console.keyboard.press("Control+Enter")
    expect(button(console, re.compile("^Stop the sound"))).to_be_enabled()
    console.keyboard.press("Control+Enter")
    expect(console.get_by_text("Sounding now")).to_be_visible()


def test_new_sound_joins_the_known_ones(console: Page) -> None:
    settle(console)
    choose(console, "New sound")
    button(console.get_by_role("group", name="Sounds in play"), "V").click()
    button(console, re.compile("Send to the class")).click()
    expect(console.get_by_role("heading", name="Meet V")).to_be_visible()
    button(console, "Change the known sounds").click()
    known = dialog(console, re.compile("Known so far"))
    expect(button(known, "V")).to_have_attribute("aria-pressed", "true")
