"""The shared elements as a player meets them: pointer, touch, keyboard, three widths, light and dark."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page

from tests.node import node_module

WIDTHS = (390, 820, 1440)
NOTES = "all => all.map(group => group.dataset.notes || '')"


@pytest.fixture(params=WIDTHS)
def wide(request: pytest.FixtureRequest, page: Page) -> Page:
    page.set_viewport_size({"width": request.param, "height": 900})
    page.wait_for_timeout(150)
    return page


def log(page: Page, name: str) -> list[Any]:
    return [detail for kind, detail in page.evaluate("window.log") if kind == name]


def lit(page: Page) -> list[int]:
    """The notes that are lit on the page."""
    return [
        int(note)
        for text in page.locator("sw-pages .staff .sounds").evaluate_all(NOTES)
        for note in text.split(",")
        if note
    ]


def test_everything_shows_and_nothing_is_cut(wide: Page, demo_view: dict[str, Any]) -> None:
    width = wide.viewport_size["width"] if wide.viewport_size else 0
    wide.evaluate("pages.buildAll()")
    assert wide.evaluate("document.documentElement.scrollWidth") <= width
    drawings = wide.locator("sw-pages svg.drawing[aria-label^=bar]")
    systems = demo_view["narrow"] if width == 390 else demo_view["systems"]
    assert drawings.count() == len(systems)
    assert wide.locator("sw-hand-path svg.drawing").count() == len(systems)
    assert wide.locator("sw-form-strip .map [data-bar]").count() == 36
    assert wide.locator("sw-neck .string").count() == 6
    for box in drawings.evaluate_all("all => all.map(each => each.getBoundingClientRect().toJSON())"):
        assert box["left"] >= 0 and box["right"] <= width + 1 and box["width"] > 0.85 * min(width, 1088) - 20


def test_the_hand_path_has_the_same_time_axis_as_the_notes(wide: Page) -> None:
    """Every note's box on the page stands over its dot in the hand path."""
    wide.evaluate("pages.buildAll()")
    off: float = wide.evaluate(
        """() => Math.max(...pages.parts.map(part => {
          const staff = part.staff.getBoundingClientRect();
          const hand = part.hand.getBoundingClientRect();
          const dots = new Map(part.system.hand.dots.map(([note, x]) => [note, x]));
          return Math.max(Math.abs(staff.left - hand.left), Math.abs(staff.width - hand.width),
            ...part.system.notes.map(({note, head}) => {
              const away = dots.get(note) - (head[0] + head[2]) / 2; // a barre's strings stand side by side
              return away < 0 ? -away : Math.max(0, away - 15.6);
            }));
        }))"""
    )
    assert off < 0.6


def test_words_on_the_strip_never_meet(wide: Page) -> None:
    boxes = wide.locator("sw-form-strip text").evaluate_all(
        """all => all.filter(each => each.checkVisibility()).map(each => {
          const {left, right, top, bottom} = each.getBoundingClientRect();
          const row = each.ownerSVGElement.classList[0] ?? "row";
          return {left, right, top, bottom, text: each.textContent, row};
        })"""
    )
    assert len(boxes) > 30
    for n, one in enumerate(boxes):
        for other in boxes[n + 1 :]:
            across = min(one["right"], other["right"]) - max(one["left"], other["left"])
            down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
            assert not (one["row"] == other["row"] and across > 0.5 and down > 4), (one, other)


def test_arrow_keys_walk_the_notes(page: Page) -> None:
    first = page.locator("sw-pages [role=option]").first
    first.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert log(page, "sw-choose-note")[-1] == {"note": 2}
    chosen = page.locator("sw-pages [aria-selected=true]")
    assert chosen.count() == 1
    assert chosen.get_attribute("aria-label") == "Bar 1 beat 2: E4, string 2 fret 5, finger 1, picked"
    assert page.evaluate("pages.shadowRoot.activeElement.dataset.note") == "2"
    page.keyboard.press("ArrowDown")
    assert log(page, "sw-choose-note")[-1] == {"note": 8}, "the first note of the next bar"
    assert page.evaluate("player.time") == pytest.approx(page.evaluate("view.notes[8].time"))
    page.keyboard.press("End")
    assert log(page, "sw-choose-note")[-1] == {"note": 254}, "it goes to a system that was still to be built"
    assert page.evaluate("pages.shadowRoot.activeElement.dataset.note") == "254"
    page.keyboard.press("Escape")
    assert log(page, "sw-choose-note")[-1] == {"note": None}
    assert page.locator("sw-pages [aria-selected=true]").count() == 0


def test_a_press_near_a_note_means_it(page: Page) -> None:
    """On the fret, on the head, and a little beside; in an empty place it goes there in time."""
    place = page.evaluate(
        """() => { const part = pages.parts[0]; const box = part.staff.getBoundingClientRect();
        const unit = box.width / part.system.width; const {head, fret} = part.system.notes[3];
        const at = ([l, t, r, b]) => [box.left + unit * (l + r) / 2, box.top + unit * (t + b) / 2];
        const far = [box.left + unit * part.system.bars[1][1] + 4, box.top + box.height - 6];
        return {head: at(head), fret: at(fret), far}; }"""
    )
    for x, y in (place["head"], place["fret"], (place["fret"][0] + 6, place["fret"][1] + 8)):
        page.mouse.click(x, y)
        assert log(page, "sw-choose-note")[-1] == {"note": 3}
        page.keyboard.press("Escape")
    page.mouse.click(*place["far"])
    assert log(page, "sw-seek")[-1]["time"] == pytest.approx(1.29, abs=0.2)


def test_the_hand_path_points_and_chooses(page: Page) -> None:
    """Over a dot it means the note, beside it the bar; a press on a dot chooses, elsewhere it goes there."""
    page.locator("sw-hand-path").first.scroll_into_view_if_needed()
    dot, beside = page.evaluate(
        """() => { const {hand, system} = pages.parts[0]; const box = hand.getBoundingClientRect();
        const unit = box.width / system.width; const [, x, y] = system.hand.dots.find(([note]) => note === 4);
        return [[box.left + unit * x, box.top + unit * y], [box.left + unit * x, box.bottom - 4]]; }"""
    )
    page.mouse.move(*dot)
    assert log(page, "sw-point")[-1] == {"bar": 1, "note": 4}
    page.mouse.move(*beside)
    assert log(page, "sw-point")[-1] == {"bar": 1, "note": None}
    page.mouse.click(*dot)
    assert log(page, "sw-choose-note")[-1] == {"note": 4}
    assert page.locator("sw-hand-path .chosen circle").count() == 1
    page.mouse.click(*beside)
    assert log(page, "sw-seek")[-1]["time"] == pytest.approx(page.evaluate("view.notes[4].time"), abs=0.02)


def test_bars_are_chosen_by_a_pull_over_the_page(page: Page) -> None:
    box = page.locator("sw-pages .staff").first.bounding_box()
    assert box
    left, top, width, height = box["x"], box["y"], box["width"], box["height"]
    page.mouse.move(left + 0.42 * width, top + height - 8)
    page.mouse.down()
    page.mouse.move(left + 0.5 * width, top + height - 8, steps=3)
    page.mouse.move(left + 0.7 * width, top + height - 8, steps=5)
    page.mouse.up()
    assert log(page, "sw-choose-bars")[-1] == {"first": 2, "last": 3}
    assert page.evaluate("player.loop") == {"first": 2, "last": 3}
    assert page.evaluate("strip.selection") == {"first": 2, "last": 3}


def test_the_strip_by_keyboard(page: Page) -> None:
    form = page.get_by_role("slider", name="Form of the tune")
    form.focus()
    page.keyboard.press("ArrowRight")
    assert log(page, "sw-seek")[-1]["time"] == page.evaluate("view.bars[1].time")
    assert form.get_attribute("aria-valuenow") == "2"
    for _ in range(2):
        page.keyboard.press("Shift+ArrowRight")
    assert log(page, "sw-choose-bars")[-1] == {"first": 2, "last": 4}
    assert "bars 2 to 4 chosen" in (form.get_attribute("aria-valuetext") or "")
    page.keyboard.press("Shift+ArrowLeft")
    assert log(page, "sw-choose-bars")[-1] == {"first": 2, "last": 3}
    page.keyboard.press("Escape")
    assert log(page, "sw-choose-bars")[-1] == {"first": None, "last": None}
    assert page.evaluate("player.loop") is None
    page.keyboard.press("End")
    assert form.get_attribute("aria-valuenow") == "36"
    assert (form.get_attribute("aria-valuetext") or "").startswith("Bar 36 in Ending; A6/9; load")
    page.keyboard.press("Home")
    assert form.get_attribute("aria-valuenow") == "1"


def cell(page: Page, bar: int) -> tuple[float, float]:
    box = page.locator(f"sw-form-strip .map [data-bar='{bar}'] .cell").bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_the_strip_by_pointer(wide: Page) -> None:
    wide.mouse.click(*cell(wide, 9))
    assert log(wide, "sw-seek")[-1]["time"] == wide.evaluate("view.bars[8].time")
    wide.mouse.move(*cell(wide, 25))
    wide.mouse.down()
    wide.mouse.move(*cell(wide, 24), steps=4)
    wide.mouse.move(*cell(wide, 17), steps=6)
    wide.mouse.up()
    assert wide.evaluate("player.loop") == {"first": 17, "last": 25}
    assert wide.evaluate("player.time") == wide.evaluate("view.bars[16].time"), "a loop begins at its start"
    button = wide.get_by_role("button", name="Looping bars 17 to 25; play on")
    button.click()
    assert wide.evaluate("[player.loop, strip.selection, pages.selection]") == [None, None, None]


def test_touch_chooses_bars_and_pulls_their_ends(browser: Browser, site: str) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.goto(f"{site}/page.html")
    page.wait_for_selector("html[data-ready]")
    page.touchscreen.tap(*cell(page, 20))
    assert log(page, "sw-seek")[-1]["time"] == page.evaluate("view.bars[19].time")
    touch(page, cell(page, 12), cell(page, 16))
    assert log(page, "sw-choose-bars")[-1] == {"first": 12, "last": 16}
    page.evaluate("player.seek(view.bars[15].time)")
    page.wait_for_timeout(100)
    grip = page.locator("sw-form-strip .grip circle").nth(1).bounding_box()
    assert grip
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    touch(page, (x, y), (x - 86, y))
    assert log(page, "sw-choose-bars")[-1] == {"first": 12, "last": 15}
    context.close()


def touch(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A finger drawn over the page, as the browser's own input takes it."""
    session = page.context.new_cdp_session(page)

    def send(kind: str, points: list[tuple[float, float]]) -> None:
        places = [{"x": x, "y": y} for x, y in points]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    send("touchStart", [start])
    for step in range(1, 9):
        share = step / 8
        send("touchMove", [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))])
    send("touchEnd", [])


def test_space_plays_and_the_foot_says_so(page: Page) -> None:
    page.evaluate("player.counts = false")
    page.keyboard.press("Space")
    page.get_by_role("button", name="Pause").wait_for()
    page.wait_for_timeout(400)
    assert page.evaluate("player.time") > 0.1
    page.keyboard.press("Space")
    page.get_by_role("button", name="Play").wait_for()


def test_every_control_of_the_foot(page: Page) -> None:
    page.evaluate("player.counts = false")
    page.get_by_role("button", name="Play").click()
    guitar = page.get_by_role("checkbox", name="Guitar")
    guitar.uncheck()
    assert page.evaluate("player.stems.find(stem => stem.name === 'guitar').on") is False
    level = page.get_by_role("slider", name="Level of bass")
    level.fill("40")
    assert page.evaluate("player.stems.find(stem => stem.name === 'bass').level") == 0.4
    tempo = page.get_by_role("slider", name="Tempo")
    tempo.fill("60")
    assert page.evaluate("player.percent") == 60
    assert tempo.get_attribute("aria-valuetext") == "60 percent, 112 quarters a minute"
    assert page.locator("sw-transport output").inner_text() == "60 % · ♩ 112"
    page.get_by_role("checkbox", name="Count in").check()
    assert page.evaluate("player.counts") is True
    page.get_by_role("button", name="To the start").click()
    page.wait_for_timeout(250)
    assert page.evaluate("player.time") < 1
    page.evaluate("transport.tempos = [50, 100, 75]")
    page.get_by_role("button", name="Pause").click()
    tempo.fill("0")
    assert page.evaluate("player.percent") == 50


def test_what_sounds_is_lit_everywhere(page: Page) -> None:
    page.evaluate("player.seek(view.notes[3].time + 0.01)")
    assert lit(page) == [3]
    assert page.locator("sw-hand-path .sounds circle").count() == 1
    assert page.locator("sw-neck .now").count() == 1 and page.locator("sw-neck .next").count() == 1
    words = page.locator("sw-neck #words").inner_text()
    assert words == "Now G4 on string 2 fret 8. Next A4 on string 1 fret 5."
    assert page.locator("sw-transport .place").inner_text() == "Bar 1 · 2"
    page.evaluate("player.seek(view.bars[1].time + view.bars[1].length * 0.3)")
    assert lit(page) == [], "a rest lights nothing"


def test_the_neck_offers_places_and_is_mirrored(page: Page) -> None:
    page.evaluate("neck.places = [{string: 3, fret: 9, finger: 1}, {string: 4, fret: 14}]; neck.note = 2")
    offer = page.get_by_role("button", name="string 3, fret 9, finger 1")
    offer.click()
    assert log(page, "sw-choose-place")[-1] == {"place": 0}
    page.get_by_role("button", name="string 4, fret 14").focus()
    page.keyboard.press("Enter")
    assert log(page, "sw-choose-place")[-1] == {"place": 1}
    right = offer.bounding_box()
    page.evaluate("neck.view = {...view, left_handed: true}")
    left = page.get_by_role("button", name="string 3, fret 9, finger 1").bounding_box()
    box = page.locator("sw-neck svg").bounding_box()
    assert right and left and box
    middle = box["x"] + box["width"] / 2
    away = left["x"] + left["width"] / 2 - middle, middle - right["x"] - right["width"] / 2
    assert away[0] < -20 and away[0] == pytest.approx(away[1], abs=1)


def test_reasons_follow_pointer_choice_and_music(page: Page) -> None:
    told = page.locator("sw-reasons div")
    page.evaluate("player.seek(view.bars[14].time)")
    assert "Bar 15, Bridge" in told.inner_text() and "Hardest here, beat 1" in told.inner_text()
    page.mouse.move(*cell(page, 16))
    assert "Bar 16, Bridge" in told.inner_text()
    assert "major triads down by minor thirds" in told.inner_text()
    page.mouse.move(5, 5)
    page.evaluate("pages.chooseNote(96, false)")
    text = told.inner_text()
    assert "C4, bar 15 beat 1" in text and "♭3 of Am7 · chord tone · string 3, fret 5 · finger 1" in text
    assert "The hand goes 27 mm in 129 ms, from fret 6 to 5: 85 % of what it can." in text


def test_an_edit_draws_only_what_changed(page: Page) -> None:
    told: Any = page.evaluate(
        """async () => {
        pages.buildAll();
        const before = [...pages.shadowRoot.querySelectorAll(".system")];
        const after = structuredClone(view);
        after.systems[2].svg = after.systems[2].svg.replace("aria-label=\\"bar", "aria-label=\\"now bar");
        after.notes[0].finger = 3;
        pages.view = after;
        const now = [...pages.shadowRoot.querySelectorAll(".system")];
        return {changed: now.map((each, n) => each === before[n] ? -1 : n).filter(n => n >= 0),
          label: now[0].querySelector("[data-note='0']").getAttribute("aria-label")};
    }"""
    )
    assert told["changed"] == [2]
    assert "finger 3" in told["label"]


def test_a_drawing_that_acts_is_refused(page: Page) -> None:
    told: Any = page.evaluate(
        """async () => {
        const {drawing} = await import("/web/element.js");
        const tried = ["<script>1</script>", "<a href='#x'/>", "<g onx='1'/>", "<image href='https://x.y/z.png'/>",
          "<foreignObject/>", "<use href='https://x.y/z.svg#a'/>", "<b xmlns='http://www.w3.org/1999/xhtml'/>"];
        const refused = inner => {
          try { drawing(`<svg xmlns="http://www.w3.org/2000/svg">${inner}</svg>`); } catch { return true; }
          return false; };
        return {refused: tried.map(refused), kept: !refused("<path id='a' d='M0 0'/><use href='#a'/>")};
    }"""
    )
    assert all(told["refused"]) and told["kept"]


def many(view: dict[str, Any], times: int) -> dict[str, Any]:
    """The same tune so many times over, as a view."""
    long = copy.deepcopy(view)
    shift, bars, notes = view["length"], len(view["bars"]), len(view["notes"])
    for name in ("bars", "notes", "systems", "hand", "shifts", "devices", "sentences", "sections"):
        long[name] = [
            moved(name, each, n * shift, n * bars, n * notes) for n in range(times) for each in view[name]
        ]
    return long | {"length": times * shift, "arc": None, "narrow": []}


def moved(name: str, row: dict[str, Any], time: float, bar: int, note: int) -> dict[str, Any]:
    """A row of a view, so much later."""
    new = dict(row)
    for key in ("time", "start", "end", "leave"):
        if isinstance(new.get(key), float):
            new[key] += time
    for key, by in (("number", bar), ("bar", bar), ("first", bar), ("last", bar)):
        if key in new:
            new[key] += by
    if name == "bars":
        new["pulses"] = [pulse + time for pulse in row["pulses"]]
    if name == "systems":
        new["bars"] = [[number + bar, left, right] for number, left, right in row["bars"]]
        new["clock"] = [[second + time, x] for second, x in row["clock"]]
        new["notes"] = [place | {"note": place["note"] + note} for place in row["notes"]]
        new["hand"] = row["hand"] | {"dots": [[n + note, x, y] for n, x, y in row["hand"]["dots"]]}
    return new


@pytest.mark.parametrize("wide", (WIDTHS[0], WIDTHS[-1]), indirect=True)
def test_a_long_tune_stays_usable(wide: Page, demo_view: dict[str, Any]) -> None:
    """288 bars: laid out in under a second, every bar within reach, a frame's work done in time."""
    wide.evaluate("view => { window.long = view; }", many(demo_view, 8))
    took = wide.evaluate(
        """() => { const start = performance.now(); wired.show(long); strip.getBoundingClientRect();
        pages.getBoundingClientRect(); return performance.now() - start; }"""
    )
    assert took < 1000
    assert wide.evaluate("strip.cells.length") == 288
    wide.evaluate("player.seek(long.bars[199].time + 0.1)")
    wide.wait_for_timeout(100)
    row = wide.locator("sw-form-strip .rows [data-bar='200'] .cell").bounding_box()
    assert row and 0 <= row["x"] <= (wide.viewport_size or {"width": 0})["width"] and row["width"] > 80
    wide.mouse.click(row["x"] + 90, row["y"] + 20)
    assert log(wide, "sw-seek")[-1]["time"] == pytest.approx(wide.evaluate("long.bars[200].time"))
    frame = wide.evaluate(
        """() => { const start = performance.now();
        for (let n = 0; n < 20; n += 1)
          for (const each of [strip, pages, neck, reasons]) each.time = 100 + n / 60;
        return (performance.now() - start) / 20; }"""
    )
    assert frame < 8, "a frame's work leaves time for the frame"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessible_to_the_letter(browser: Browser, site: str, scheme: Any) -> None:
    """axe-core finds nothing against WCAG 2.2 AA, contrast included, with bars and a note chosen."""
    axe = (node_module("axe-core") / "axe.min.js").read_text("utf-8")
    page = browser.new_page(viewport={"width": 1440, "height": 900}, color_scheme=scheme)
    page.goto(f"{site}/page.html")
    page.wait_for_selector("html[data-ready]")
    page.evaluate("strip.pick(13, 15); pages.chooseNote(96, false)")
    page.evaluate("player.give({percent: 100, lead: 0, stems: {guitar: ticks(view, 100, player.context)}})")
    page.evaluate("neck.places = [{string: 3, fret: 9, finger: 1}]")
    page.evaluate(axe)
    found = page.evaluate("axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})")
    page.close()
    faults = [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found["violations"]]
    assert faults == []


def test_focus_is_always_seen(page: Page) -> None:
    """By tab through everything: what has the focus is drawn with a ring, and lies on the screen."""
    seen = []
    for _ in range(14):
        page.keyboard.press("Tab")
        told = page.evaluate(
            """() => { let each = document.activeElement;
            while (each?.shadowRoot?.activeElement) each = each.shadowRoot.activeElement;
            if (!each || each === document.body) return null;
            const style = getComputedStyle(each), box = each.getBoundingClientRect();
            const ring = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
            const inner = each.querySelector?.('rect, circle');
            const edge = inner && getComputedStyle(inner);
            const drawn = Boolean(edge) && edge.stroke !== 'none' && parseFloat(edge.strokeWidth) >= 1.5;
            const name = each.getAttribute('aria-label') || each.textContent || each.id || each.localName;
            return {name, ring: ring || drawn,
              there: box.bottom > 0 && box.top < innerHeight}; }"""
        )
        if told:
            seen.append(told)
    assert len(seen) >= 6
    assert [each["name"] for each in seen if not (each["ring"] and each["there"])] == []


@pytest.fixture
def printed(page: Page) -> Iterator[Locator]:
    page.emulate_media(media="print")
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    yield page.locator("sw-pages .system")
    page.emulate_media(media="screen")


def test_print_holds_every_system_and_no_controls(
    printed: Locator, page: Page, demo_view: dict[str, Any]
) -> None:
    assert printed.count() == len(demo_view["systems"])
    assert all(printed.nth(n).locator("svg.drawing").count() == 2 for n in range(printed.count()))
    assert not page.locator("sw-transport").is_visible() and not page.locator("sw-form-strip").is_visible()
