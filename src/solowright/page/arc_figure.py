"""The arc of a solo as one figure: its curves over the bars, a lane for flash and the band's part.

Every curve has a panel and a shape of its own (area, span, column, dotted line), so the figure reads
without colour; the peak is a filled triangle, a rival an open one. Lengths in points.
"""

from __future__ import annotations

from solowright.form.flash import could_be_plainer
from solowright.form.record import Arc, Passage
from solowright.music.tune import Tune
from solowright.page.arc_panels import GREEN, GRID, LEFT, NAME, PANELS, RIGHT, SMALL, Page, block, frame
from solowright.page.drawing import BLUE, GREY, VERMILION, Box, Mark, letters, line, number, path, write_svg
from solowright.page.lettering import text_width, wrap

_BETWEEN = 11.0  # from panel to panel
_SIZES = (NAME, 7.0, 6.0)  # of a section's name, as its room asks
_LEGEND = 7.2


def draw_arc(tune: Tune, arc: Arc, width: float = 500.0) -> str:
    """The figure as one SVG, ``width`` points wide."""
    marks, foot = arc_marks(tune, arc, width)
    return write_svg(marks, width, 0.0, foot, "arc-", f"the arc of {tune.title or 'the solo'}")


def arc_marks(tune: Tune, arc: Arc, width: float) -> tuple[list[Mark], float]:
    """Everything drawn, with the room its ink takes, and the figure's height."""
    page = Page(tune, arc, width)
    marks, y = _draw_sections(page)
    wanted, y = _draw_wanted(page, y)
    marks += wanted
    first = y
    for draw, height in PANELS:
        panel_marks = draw(page, y, height)
        marks += panel_marks
        y += height + _BETWEEN
    lane, y = _draw_flash(page, y)
    marks += lane
    marks += _draw_frames(page, first, y)
    numbers, y = _draw_numbers(page, y)
    legend, y = _draw_legend(page, y + 7.0)
    return [*marks, *numbers, *legend], y


def _draw_sections(page: Page) -> tuple[list[Mark], float]:
    """The sections' names over their bars, each cut to the room it has."""
    starts = page.tune.chart.section_starts
    stops = [first for first, _ in starts[1:]] + [len(page.tune.chart.bars)]
    marks = []
    for (first, name), stop in zip(starts, stops, strict=True):
        text, size = _fit(name, page.x(stop) - page.x(first) - 3.0)
        if text:
            marks.append(letters("section", text, page.x(first) + 1.0, 9.0, size, "sans-bold"))
    return marks, 14.0


def _fit(text: str, room: float) -> tuple[str, float]:
    """The text and its size: smaller where it must, then cut; nothing where not even two letters fit."""
    cuts = [text, *(text[:length].rstrip() + "…" for length in range(len(text) - 1, 1, -1))]
    for cut in cuts:
        for size in _SIZES if cut is text else _SIZES[-1:]:
            if text_width(cut, "sans-bold", size) <= room:
                return cut, size
    return "", NAME


def _draw_wanted(page: Page, y: float) -> tuple[list[Mark], float]:
    """A bracket over the bars in which the sections want the peak."""
    if page.arc.climax is None or page.arc.climax.where == "short":
        return [], y + 6.0
    part = page.arc.climax.wanted
    left, right = page.x(part.first) + 1.0, page.x(part.stop) - 1.0
    d = f"M{number(left)} {number(y + 11)}v-3h{number(right - left)}v3"
    text = "the peak is wanted here"
    wide = text_width(text, "sans-italic", SMALL)
    at = min(max(left, LEFT), page.width - RIGHT - wide)
    return [
        letters("wanted", text, at, y + 5.4, SMALL, "sans-italic", ink=VERMILION),
        path("bracket", d, Box(left, y + 7.5, right, y + 11.5), 1.0, VERMILION),
    ], y + 22.0


def _draw_flash(page: Page, y: float) -> tuple[list[Mark], float]:
    """The passages of flash as numbered blocks, filled where they pay, over the band's lane."""
    marks = [letters("name", "flash", 0.0, y + 12.0, NAME, "sans-bold")]
    flash = page.arc.flash
    if not flash.passages:
        marks.append(letters("none", "none", LEFT + 2.0, y + 12.0, SMALL, "sans", ink=GREY))
    taken = -1.0
    for count, passage in enumerate(flash.passages, 1):
        left, right = page.at(passage.start), page.at(passage.end)
        box = Box(left, y + 6.0, max(left + 3.0, right), y + 14.0)
        plain_too = could_be_plainer(passage, flash.spent > flash.budget)
        marks.append(frame("open", box, BLUE) if plain_too else block("flash", box, BLUE, 1.0))
        half = text_width(str(count), "sans", SMALL) / 2
        middle = min((box.left + box.right) / 2, page.width - RIGHT - half)
        label = letters("count", str(count), middle, y + 4.0, SMALL, "sans", "middle")
        if label.box.left > taken:
            marks.append(label)
            taken = label.box.right + 1.0
    y += 18.0
    return marks + _draw_band(page, y), y + 18.0


def _draw_band(page: Page, y: float) -> list[Mark]:
    """A lane of what the band does: ticks for hits, a dashed frame for a break, a bracket for an answer."""
    chart = page.tune.chart
    marks = [letters("name", "band", 0.0, y + 10.0, NAME, "sans-bold")]
    for start, end, bar in zip(chart.starts, chart.starts[1:], chart.bars, strict=False):
        left, right = page.at(start) + 0.6, page.at(end) - 0.6
        if bar.pause:
            d = f"M{number(left)} {number(y + 3)}H{number(right)}v9H{number(left)}Z"
            marks.append(path("pause", d, Box(left, y + 3, right, y + 12), 0.7, GREY, "2 1.6"))
        if bar.answered or bar.answer:
            d = f"M{number(left)} {number(y + 9)}v3h{number(right - left)}v-3"
            marks.append(path("answer", d, Box(left, y + 9, right, y + 12), 1.0, GREEN))
        for hit in bar.hits:
            x = page.at(start + hit) + 0.7
            marks.append(line("hit", x, y + 3.0, x, y + 12.0, 1.3, VERMILION))
    return marks


def _draw_frames(page: Page, top: float, foot: float) -> list[Mark]:
    """Thin lines from top to foot where a section begins."""
    edges = [page.x(first) for first, _ in page.tune.chart.section_starts] + [page.width - RIGHT]
    return [line("grid", x, top - 4.0, x, foot - 3.0, 0.5, GRID) for x in edges]


def _draw_numbers(page: Page, y: float) -> tuple[list[Mark], float]:
    """Bar numbers as close as they fit."""
    numbers = page.arc.numbers
    widest = text_width(str(numbers[-1]) if numbers else "0", "sans", SMALL) + 5.0
    cell = (page.width - LEFT - RIGHT) / max(1, len(numbers))
    step = next((step for step in (1, 2, 4, 8, 16, 32, 64) if step * cell >= widest), 128)
    marks = [letters("name", "bar", 0.0, y + 5.0, SMALL, "sans", ink=GREY)]
    marks += [
        letters("number", str(label), page.x(bar) + 1.0, y + 5.0, SMALL, "sans", ink=GREY)
        for bar, label in enumerate(numbers)
        if label >= 1 and (label - 1) % step == 0
    ]
    return marks, y + 8.0


def _draw_legend(page: Page, y: float) -> tuple[list[Mark], float]:
    """What the signs mean and which passage is which, in lines as wide as the figure."""
    arc = page.arc
    signs = ["filled triangle: the peak"] if arc.climax else []
    if arc.climax and arc.climax.rival is not None:
        signs.append("open triangle: nearly as tall")
    if any(bar.hits for bar in page.tune.chart.bars):
        signs.append("ticks: band hits")
    if any(bar.pause for bar in page.tune.chart.bars):
        signs.append("dashed: the band is out")
    if any(bar.answered or bar.answer for bar in page.tune.chart.bars):
        signs.append("bracket: the band answers")
    over = arc.flash.spent > arc.flash.budget
    texts = [" · ".join(signs)] if signs else []
    if arc.flash.passages:
        told = [_passage(page, count, each, over) for count, each in enumerate(arc.flash.passages, 1)]
        texts.append("Flash: " + " · ".join(told))
    marks = []
    for text in texts:
        for row in wrap(text, "sans", _LEGEND, page.width - 2.0):
            marks.append(letters("legend", row, 0.0, y + 5.0, _LEGEND, "sans", ink=GREY))
            y += 9.6
    return marks, y + 3.0


def _passage(page: Page, count: int, passage: Passage, over: bool) -> str:
    bar = page.tune.chart.place(passage.start).bar
    told = ", could be plainer (open)" if could_be_plainer(passage, over) else ""
    return f"{count}: {passage.short}, bar {bar}{told}"


def arc_png(tune: Tune, arc: Arc, width: float = 500.0, ppi: float = 144.0) -> bytes:
    """The figure on white as PNG at ``ppi`` pixels an inch."""
    import typst

    page = f'#set page(width: {width + 24}pt, height: auto, margin: 12pt)\n#image("arc.svg")'
    files = {"main.typ": page.encode(), "arc.svg": draw_arc(tune, arc, width).encode()}
    made = typst.compile(files, format="png", ppi=ppi)  # type: ignore[call-overload]
    assert isinstance(made, bytes), "one page makes one picture"
    return made
