"""Editing where one looks: each change made as a player makes it, and seen on the page."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.desk.window import Desk, choose_bars, choose_note, notes, settled, unfold, view

SIDE = "sw-side"


def chords(page: Page) -> list[str]:
    return [chord["symbol"] for bar in view(page)["bars"] for chord in bar["chords"]]


def test_another_place_on_the_neck_and_back(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_note(page, 4)
    before = notes(page)[4]
    places = page.locator(f"{SIDE} .place")
    expect(places.first).to_contain_text("here now")
    expect(places.nth(1)).to_contain_text(re.compile("up to [0-9]+|any tempo"))
    expect(places.nth(1)).to_contain_text(re.compile("load [0-9.]+"))
    expect(places.nth(1)).to_contain_text(re.compile("effort(, [+−][0-9.]+| as now)"))
    places.nth(1).locator("input").check()
    settled(page)
    after = notes(page)[4]
    assert (after["string"], after["fret"]) != (before["string"], before["fret"])
    assert after["midi"] == before["midi"] and "place" in after["fixed"]
    page.keyboard.press("Control+z")
    settled(page)
    assert (notes(page)[4]["string"], notes(page)[4]["fret"]) == (before["string"], before["fret"])
    page.keyboard.press("Control+Shift+Z")
    settled(page)
    assert (notes(page)[4]["string"], notes(page)[4]["fret"]) == (after["string"], after["fret"])


def test_a_place_taken_on_the_neck_itself(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_note(page, 4)
    expect(page.locator(f"{SIDE} .place").nth(1)).to_be_visible()
    before = notes(page)[4]["string"]
    page.locator("sw-neck .place").first.click()
    settled(page)
    assert notes(page)[4]["string"] != before


def test_notes_are_kept_and_freed(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_note(page, 3)
    assert notes(page)[3]["fixed"] == ["place"]
    page.get_by_label("place", exact=True).uncheck()
    settled(page)
    assert notes(page)[3]["fixed"] == []
    page.get_by_label("finger", exact=True).check()
    settled(page)
    assert notes(page)[3]["fixed"] == ["finger"]
    page.locator("main").focus()
    page.keyboard.press("k")  # the key is for the whole note
    settled(page)
    assert notes(page)[3]["fixed"] == []
    page.keyboard.press("k")
    settled(page)
    assert notes(page)[3]["fixed"] == ["place", "finger", "entry"]
    choose_bars(page, 1, 1)
    page.get_by_role("button", name="Find the fingering anew").click()
    settled(page)
    assert not any(note["fixed"] for note in notes(page) if note["bar"] == 1)
    page.get_by_role("button", name="Keep this fingering").click()
    settled(page)
    assert all("place" in note["fixed"] for note in notes(page) if note["bar"] == 1)


def test_slur_pick_and_finger(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_note(page, 1)
    assert notes(page)[1]["entry"] == "hammer"
    page.get_by_role("radio", name="slid into").check()
    settled(page)
    assert notes(page)[1]["entry"] == "slide"
    page.get_by_role("radio", name="picked").check()
    settled(page)
    assert notes(page)[1]["entry"] == "pick"
    page.get_by_role("radio", name="ring", exact=True).check()
    settled(page)
    assert notes(page)[1]["finger"] == 3 and "finger" in notes(page)[1]["fixed"]


def test_fingerings_side_by_side(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 2, 2)
    page.get_by_role("button", name="Find the fingering anew").click()
    settled(page)
    page.get_by_role("button", name="Other fingerings").click()
    ways = page.locator(f"{SIDE} .way")
    expect(ways.first).to_contain_text("as it is now")
    assert ways.count() >= 2
    boxes = [ways.nth(i).bounding_box() for i in range(2)]
    assert boxes[0] and boxes[1] and abs(boxes[0]["y"] - boxes[1]["y"]) < 2
    wanted = ways.nth(1).get_by_role("img").get_attribute("aria-label")
    ways.nth(1).get_by_role("button").click()
    settled(page)
    now = [note for note in notes(page) if note["bar"] == 2]
    told = ", ".join(f"string {n['string']} fret {n['fret']} finger {n['finger']}" for n in now)
    assert told == wanted
    expect(page.get_by_role("button", name="Other fingerings")).to_be_visible()


def test_escape_and_another_choice_leave_the_comparison(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 2, 2)
    page.get_by_role("button", name="Other fingerings").click()
    expect(page.locator(".way button").first).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.locator(".compare")).to_have_count(0)
    expect(page.get_by_role("button", name="Type bar 2 anew")).to_be_focused()
    page.get_by_role("button", name="Other fingerings").click()
    expect(page.locator(".way").first).to_be_visible()
    choose_note(page, 1)
    expect(page.locator(".compare")).to_have_count(0)
    expect(page.locator(f"{SIDE} .place").first).to_be_visible()


def test_a_bar_typed_as_tablature_with_the_page_following(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 4, 4)
    page.keyboard.press("t")
    typed = page.get_by_role("textbox", name="Bar 4 as text")
    expect(typed).to_have_value(re.compile(r"G\|-6"))
    text = typed.input_value()
    typed.fill(text.replace("B|---------", "B|---5-8---"))
    expect(page.locator(".retype .told")).to_have_text("The page follows.")
    assert [note["fret"] for note in notes(page) if note["bar"] == 4] == [6, 5, 8]
    typed.fill(text.replace("G|-6", "G|-q"))
    expect(page.locator(".retype .told")).to_contain_text("line")
    assert [note["fret"] for note in notes(page) if note["bar"] == 4] == [6, 5, 8], "the page waits"
    choose_note(page, 4)
    expect(page.locator(".retype .told")).to_contain_text("then the note you chose shows its places")
    typed.fill(text)
    choose_note(page, 4)  # the page takes in what is typed, then the note has the side for itself
    expect(page.locator(f"{SIDE} .place").first).to_contain_text("here now")
    expect(page.locator(".retype")).to_have_count(0)
    assert [note["fret"] for note in notes(page) if note["bar"] == 4] == [6]
    assert page.evaluate("sessionStorage.length") == 0


def test_a_sign_takes_the_place_of_a_dash(desk: Desk) -> None:
    page = desk.open()
    page.goto(desk.root)
    page.get_by_role("button", name="New tune").click()
    page.get_by_label("Title").fill("Dashes")
    page.get_by_role("button", name="Lay it on the desk").click()
    page.get_by_role("button", name="Type bars 1–2").click()
    typed = page.locator("textarea.typed")
    expect(typed).to_have_value(re.compile(r"^bar 1\n"))
    page.keyboard.type("5")
    page.keyboard.press("ArrowRight")
    page.keyboard.type("87")
    page.keyboard.press("Backspace")
    page.keyboard.type(" 7      ")  # Space goes from count to count, and on into the next bar
    for _ in range(2):
        page.keyboard.press("ArrowLeft")
    page.keyboard.type("3")  # over the barline nothing is typed: it goes behind it
    row = next(line for line in typed.input_value().splitlines() if line.startswith("e|"))
    assert row == "e|-5-8-7-----------|-3---------------|"
    expect(page.locator(".retype .told")).to_have_text("The page follows.")
    assert [(note["fret"], note["bar"]) for note in notes(page)] == [(5, 1), (8, 1), (7, 1), (3, 2)]


def test_a_bar_typed_as_abc(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 4, 4)
    page.get_by_role("button", name="Type bar 4 anew").click()
    page.get_by_label("ABC", exact=True).check()
    typed = page.get_by_role("textbox", name="Bar 4 as text")
    expect(typed).to_have_value(re.compile(r"[A-Ga-g]"))
    expect(typed).not_to_have_value(re.compile("bar 4"))
    typed.fill("A2 B2 c2 e2")
    page.get_by_role("button", name="Done").click()
    settled(page)
    assert [note["beat"] for note in notes(page) if note["bar"] == 4] == [1, 2, 3, 4]


def test_a_chord_is_changed_and_a_wrong_one_refused(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 3, 3)
    field = page.get_by_label("Chords of bar 3")
    field.fill("D7 Eb7")
    field.press("Enter")
    settled(page)
    assert chords(page) == ["A7", "A7", "D7", "Eb7", "A7"]
    expect(field).to_have_value("D7 Eb7")
    field.fill("Dmojo7")
    field.press("Enter")
    expect(page.locator("#said")).to_contain_text("Dmojo7")
    expect(field).to_have_attribute("aria-invalid", "true")
    assert chords(page) == ["A7", "A7", "D7", "Eb7", "A7"]


def test_hits_break_and_answer(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 4, 4)
    unfold(page, "The band here")
    page.get_by_label("Hits on 2.5").check()
    settled(page)
    page.get_by_label("Hits on 4", exact=True).check()
    settled(page)
    assert view(page)["bars"][3]["hits"] == [2.5, 4]
    page.get_by_label("Hits on 2.5").uncheck()
    settled(page)
    assert view(page)["bars"][3]["hits"] == [4]
    page.get_by_label("the band is silent").check()
    settled(page)
    assert view(page)["bars"][3]["break"]
    page.get_by_label("the band is silent").uncheck()
    settled(page)
    page.get_by_label("the band answers").check()
    settled(page)
    page.get_by_label("It answers on 3", exact=True).check()
    settled(page)
    assert view(page)["bars"][3]["answer"] == [3] and not view(page)["bars"][3]["break"]


def test_sections_and_bars(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 3, 4)
    unfold(page, "The form here")
    page.get_by_label("Section opening in bar 3").fill("Turn")
    page.get_by_label("Section opening in bar 3").press("Enter")
    settled(page)
    assert [section["name"] for section in view(page)["sections"]] == ["Vamp", "Turn"]
    page.get_by_role("button", name="Put 2 bars after").click()
    settled(page)
    assert len(view(page)["bars"]) == 6
    page.get_by_role("button", name="Put 2 bars before").click()
    settled(page)
    assert len(view(page)["bars"]) == 8
    count = len(notes(page))
    page.get_by_role("button", name="Take bars 3–4 out").click()
    settled(page)
    assert len(view(page)["bars"]) == 6 and len(notes(page)) == count


def test_key_tempo_and_title(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 1, 1)
    before = [note["midi"] for note in notes(page)]
    unfold(page, "The whole tune")
    page.get_by_label("Move it").select_option("2")
    settled(page)
    assert [note["midi"] for note in notes(page)] == [midi + 2 for midi in before]
    assert view(page)["key"] == "B"
    page.get_by_label("Show tempo").fill("152")
    page.get_by_label("Show tempo").press("Enter")
    settled(page)
    assert view(page)["tempo"] == 152
    page.get_by_label("Title").fill("Six for the Ferry")
    page.get_by_label("Title").press("Enter")
    settled(page)
    expect(page.locator("sw-tune h1")).to_have_text("Six for the Ferry")


def test_another_reading_and_sentences_in_own_words(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 1, 1)
    reading = page.locator(".told-list .other").first
    told = reading.locator("p").inner_text().removeprefix("Or read as: ")
    reading.get_by_role("button", name="Read it so").click()
    settled(page)
    assert any(device["chosen"] for device in view(page)["devices"])
    shown = [d["sentence"] or d["short"] for d in view(page)["devices"] if d["chosen"]]
    assert shown[0].replace("♭", "b") == told.replace("♭", "b")
    page.get_by_role("button", name="Back to it").first.click()
    settled(page)
    assert not any(device["chosen"] for device in view(page)["devices"])

    found = view(page)["sentences"][0]["text"]
    page.get_by_role("button", name="Reword").first.click()
    page.get_by_label("The sentence in your words").fill("Home, by the back door.")
    page.get_by_role("button", name="Keep these words").click()
    settled(page)
    assert view(page)["sentences"][0]["text"] == "Home, by the back door."
    page.get_by_role("button", name="As found").first.click()
    settled(page)
    assert view(page)["sentences"][0]["text"] == found
    count = len(view(page)["sentences"])
    page.get_by_role("button", name="Hide").first.click()
    settled(page)
    assert len(view(page)["sentences"]) == count - 1
    unfold(page, "1 hidden")
    page.get_by_role("button", name="Show", exact=True).click()
    settled(page)
    assert len(view(page)["sentences"]) == count


def test_a_remark_of_ones_own(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 2, 2)
    unfold(page, "Add a remark")
    page.get_by_label("A remark of your own here").fill("Breathe here.")
    page.get_by_role("button", name="Put it under the bar").click()
    settled(page)
    remark = next(one for one in view(page)["sentences"] if one["whose"] == "own")
    assert remark["text"] == "Breathe here." and remark["from"]["bar"] == 2
    expect(page.locator(".told-list .own")).to_contain_text("your remark")
    page.locator(".told-list .own").get_by_role("button", name="Take out").click()
    settled(page)
    assert all(one["whose"] != "own" for one in view(page)["sentences"])
