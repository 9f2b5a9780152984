"""How the ladders were climbed: tempo over tries, a panel for each loop (SVG)."""

from __future__ import annotations

from solowright.page.drawing import BLUE, GREY, VERMILION, Box, Mark, letters, line, number, path, write_svg
from solowright.practice.course import Course, LoopCourse

_HEIGHT, _GAP = 74.0, 34.0
_LEFT, _RIGHT = 34.0, 46.0
_DOT = 2.1
_MOST = 160  # tries in one panel: the latest


def draw_progress(course: Course, width: float) -> str:
    """Every loop's tries as dots at their tempo: filled for clean, a cross for missed; show tempo as a
    dashed line, the days apart by thin ones. ``width`` points wide."""
    marks: list[Mark] = []
    top = 12.0
    for each in course.loops:
        marks += [mark.moved(0.0, top) for mark in _panel(course, each, width)]
        top += _HEIGHT + _GAP
    return write_svg(marks, width, 0.0, top, "p-", "tempo over tries, a panel for each loop")


def _panel(course: Course, each: LoopCourse, width: float) -> list[Mark]:
    low, high = each.ladder.tempos[0], max(course.show, each.ladder.tempos[-1])
    span = max(1.0, high - low)
    tries = [made for made in each.tries if made.kind == "loop"][-_MOST:]

    def at(tempo: float) -> float:
        return _HEIGHT - 8.0 - (min(max(tempo, low), high) - low) / span * (_HEIGHT - 16.0)

    right = width - _RIGHT
    marks = [
        letters("name", each.loop.name, _LEFT, -3.0, 9.0, "sans-bold"),
        line("floor", _LEFT, _HEIGHT, right, _HEIGHT, 0.5, GREY),
        letters("low", f"{low:.0f}", _LEFT - 5.0, at(low) + 2.6, 7.6, "sans", "end", GREY),
        letters("show", f"{course.show:.0f} show", right + 4.0, at(course.show) + 2.6, 7.6, "sans", ink=GREY),
        path(
            "show",
            f"M{number(_LEFT)} {number(at(course.show))}H{number(right)}",
            Box(_LEFT, at(course.show) - 0.3, right, at(course.show) + 0.3),
            0.6,
            GREY,
            "3 2",
        ),
    ]
    if not tries:
        marks.append(letters("empty", "no tries yet", _LEFT + 8.0, _HEIGHT / 2, 8.4, "sans-italic", ink=GREY))
        return marks
    step = min(9.0, (right - _LEFT - 12.0) / len(tries))
    for index, made in enumerate(tries):
        x = _LEFT + 8.0 + index * step
        if index == 0 or made.day != tries[index - 1].day:
            if index:
                marks.append(line("day", x - step / 2, 0.0, x - step / 2, _HEIGHT, 0.3, GREY))
            before = marks[-2].box.right if index else 0.0
            day = letters("day", f"{made.day:%d.%m.}", x, _HEIGHT + 9.0, 6.8, "sans", ink=GREY)
            if day.box.left > before or not index:
                marks.append(day)
        marks.append(_dot(x, at(made.tempo), made.clean))
    return marks


def _dot(x: float, y: float, clean: bool) -> Mark:
    box = Box(x - _DOT, y - _DOT, x + _DOT, y + _DOT)
    if clean:
        half = f"a{_DOT} {_DOT} 0 1 0"
        d = f"M{number(x - _DOT)} {number(y)}{half} {2 * _DOT} 0{half} {-2 * _DOT} 0z"
        return path("clean", d, box, ink=BLUE)
    d = "".join(
        f"M{number(x - _DOT)} {number(y + sign * _DOT)}L{number(x + _DOT)} {number(y - sign * _DOT)}"
        for sign in (-1, 1)
    )
    return path("missed", d, box, 1.1, VERMILION)
