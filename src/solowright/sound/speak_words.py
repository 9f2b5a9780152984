"""The speak report told: as text, as JSON, as a picture (SVG, or PNG made from it)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from html import escape
from typing import Any

from solowright.sound.guitar import HAMMERED, PULLED
from solowright.sound.speak import HISS, SPEAKS, GainStep, SpeakReport

ASSUMPTIONS = (
    f"a hammered note gives the string {HAMMERED:g} of a picked note's push, a pulled one {PULLED:g} "
    "(no published figure)",
    f"slurs speak when they lie within {SPEAKS:g} dB of the same note picked",
    f"hiss at the amplifier's input lies {-HISS:g} dB under a picked note's peak",
)

_BLUE, _VERMILION, _GREEN, _ORANGE = "#0072B2", "#D55E00", "#009E73", "#E69F00"  # Okabe & Ito
_GRID = "#e4e4e4"
_WIDE, _HIGH, _LEFT, _TOP, _PANEL = 720, 560, 70, 70, 180


def speak_json(report: SpeakReport) -> dict[str, Any]:
    """The report as plain data, its assumptions with it."""
    return {**asdict(report), "within_db": SPEAKS, "assumptions": list(ASSUMPTIONS)}


def speak_text(report: SpeakReport) -> str:
    """The report as a page of text."""
    lines = [
        f"{report.title}: {report.slurs} slurred notes measured at {report.tempo:g} quarter notes a minute, "
        f"about {report.notes_a_second:g} notes a second.",
        _verdict(report),
        "",
        "gain   slurs under picked notes            hiss to    roughness of",
        "dB     all    hammered pulled  slid  dB    notes, dB  two notes, × clean",
    ]
    for step in report.steps:
        kinds = "  ".join(f"{'–' if gap is None else f'{gap:.1f}':>6}" for gap in _kinds(step))
        costs = f"{step.hiss:8.0f}  {step.roughness:12.1f}"
        lines.append(f"{step.gain:<5g}  {step.gap:<5.1f}{kinds}      {costs}")
    if report.settings:
        lines += ["", "pickup   pick from bridge   clean gap   slurs speak from"]
        for setting in report.settings:
            least = "never" if setting.least_gain is None else f"{setting.least_gain:.0f} dB"
            lines.append(
                f"{setting.pickup:<8} {setting.pick_mm:6.0f} mm {setting.clean_gap:14.1f} dB   {least:>10}"
            )
    return "\n".join([*lines, "", "Assumed: " + "; ".join(ASSUMPTIONS) + "."]) + "\n"


def _verdict(report: SpeakReport) -> str:
    if report.least_gain is None:
        return f"Even full gain leaves slurs more than {SPEAKS:g} dB under picked notes; pick more of them."
    if not report.least_gain:
        return f"Slurred notes speak without any gain: they lie within {SPEAKS:g} dB of picked ones clean."
    at = min(report.steps, key=lambda step: abs(step.gain - (report.least_gain or 0.0)))
    cost = f"; there {report.double_stop} together are {at.roughness:.1f} times as rough as clean"
    come = f"Slurred notes come within {SPEAKS:g} dB of picked ones from {report.least_gain:.0f} dB of gain"
    return f"{come}{cost}."


def _kinds(step: GainStep) -> tuple[float | None, ...]:
    return (step.hammer, step.pull, step.slide)


def speak_svg(report: SpeakReport) -> str:
    """Two panels over the gain: how far slurs lie under picked notes, and what gain costs."""
    gains = [step.gain for step in report.steps]

    def across(gain: float) -> float:
        return _LEFT + (gain - gains[0]) / (gains[-1] - gains[0]) * (_WIDE - _LEFT - 150)

    def scale(low: float, high: float, top: float) -> Callable[[float], float]:
        return lambda value: top + (high - value) / (high - low) * _PANEL

    kinds = (("hammered", _BLUE, "hammer"), ("pulled", _VERMILION, "pull"), ("slid", _GREEN, "slide"))
    values = [gap for step in report.steps for gap in (*_kinds(step), step.gap) if gap is not None]
    gap_at = scale(min(0.0, *values) - 1, max(values) + 1, _TOP)
    second = _TOP + _PANEL + 80
    hiss_at = scale(min(step.hiss for step in report.steps) - 3, 0.0, second)
    rough_top = max(2.0, *(step.roughness for step in report.steps)) * 1.1
    rough_at = scale(0.0, rough_top, second)
    parts = [
        _text(_LEFT, 26, f"{report.title}: how much gain until slurs speak", 17),
        _text(_LEFT, 46, f"{report.slurs} slurred notes at {report.tempo:g} quarter notes a minute", 12),
    ]
    ticks = range(round(min(values)), round(max(values)) + 1, 2)
    parts += _axis(gap_at, ticks, "dB under picked notes", _TOP)
    parts += _axis(hiss_at, range(-80, 1, 20), "hiss, dB to notes", second)
    parts += [
        _text(across(gain), top + _PANEL + 16, f"{gain:g}", 11, "middle")
        for top in (_TOP, second)
        for gain in gains[::2]
    ]
    parts.append(_text(across(20), second + _PANEL + 36, "gain, dB", 12, "middle"))
    threshold = [(across(gain), gap_at(SPEAKS)) for gain in (gains[0], gains[-1])]
    parts.append(_line(threshold, "#888", "4 4"))
    if report.least_gain is not None:
        x = across(report.least_gain)
        parts.append(_line([(x, _TOP), (x, _TOP + _PANEL)], "#888", "4 4"))
        parts.append(_text(x + 5, _TOP + 12, f"speak from {report.least_gain:.0f} dB", 12))
    ends: list[tuple[float, str, str]] = []
    for name, colour, field in kinds:
        points = [
            (across(step.gain), gap_at(value))
            for step in report.steps
            if (value := getattr(step, field)) is not None
        ]
        if points:
            parts.append(_line(points, colour))
            ends.append((points[-1][1], name, colour))
    lowest = 0.0
    for y, name, colour in sorted(ends):
        lowest = max(y, lowest + 14)
        parts.append(_text(across(gains[-1]) + 12, lowest + 4, name, 12, colour=colour))
    for name, colour, points in (
        ("hiss", _ORANGE, [(across(s.gain), hiss_at(s.hiss)) for s in report.steps]),
        (f"roughness (1 to {report.steps[-1].roughness:.0f} ×)", _BLUE,
         [(across(s.gain), rough_at(s.roughness)) for s in report.steps]),
    ):  # fmt: skip
        parts += [_line(points, colour), _text(points[-1][0] + 8, points[-1][1] + 4, name, 12, colour=colour)]
    body = "\n".join(parts)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}" width="{_WIDE}" '
        f'height="{_HIGH}" font-family="sans-serif">\n'
        f'<rect width="100%" height="100%" fill="white"/>\n{body}\n</svg>\n'
    )


def speak_png(report: SpeakReport) -> bytes:
    """The picture as a PNG, two dots to a pixel of the SVG."""
    import typst

    source = f'#set page(width: {_WIDE}pt, height: {_HIGH}pt, margin: 0pt)\n#image(bytes("'
    picture = speak_svg(report).replace("\\", "\\\\").replace('"', '\\"')
    made = typst.compile(f'{source}{picture}"), width: 100%)'.encode(), format="png", ppi=144.0)
    assert isinstance(made, bytes), "one page makes one picture"
    return made


def _axis(at: Callable[[float], float], ticks: range, title: str, top: float) -> list[str]:
    right = _WIDE - 150
    parts = []
    for tick in ticks:
        if top - 1 <= at(tick) <= top + _PANEL + 1:
            parts.append(_line([(_LEFT, at(tick)), (right, at(tick))], _GRID))
            parts.append(_text(_LEFT - 6, at(tick) + 4, f"{tick}", 11, "end"))
    middle = top + _PANEL / 2
    turned = f'transform="rotate(-90 20 {middle:.1f})"'
    parts.append(_text(20, middle, title, 12, "middle").replace("<text ", f"<text {turned} ", 1))
    return parts


def _line(points: list[tuple[float, float]], colour: str, dash: str = "") -> str:
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    width = "1" if dash or colour == _GRID else "2.2"
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="{width}"{dashed}/>'


def _text(x: float, y: float, text: str, size: int, anchor: str = "start", colour: str = "#222") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" fill="{colour}">'
        f"{escape(text)}</text>"
    )
