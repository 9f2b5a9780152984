"""The arc of a solo: how it builds over its bars, where it peaks, what it leaves to the band, and what its
flash costs. Neck and harmony meet here: load comes from the fingering, tension and devices from the
reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from solowright.form.band import read_answers, read_breaks, read_hits, read_way_back
from solowright.form.climax import find_climax, find_contrasts, section_arcs
from solowright.form.curves import draw_curves
from solowright.form.flash import budget_flash, could_be_plainer, find_flash
from solowright.form.plainer import make_plainer
from solowright.form.record import Arc
from solowright.form.strikes import find_strikes
from solowright.harmony import Reading
from solowright.music.tune import Tune
from solowright.neck import Fingering, Player, player_for

MOST = 6  # plainer versions that are worked out unasked: those of the passages that cost most


def work_out_arc(
    tune: Tune,
    fingering: Fingering,
    reading: Reading,
    *,
    player: Player | None = None,
    levels: Sequence[float] | None = None,
    every: bool = False,
) -> Arc:
    """The arc of a tune under the first path of its fingering.

    A plainer version is worked out for the flash that could be plainer (the costliest six), or for
    ``every`` passage.
    ``levels``: measured sound level, dB a bar, in place of our estimate. Raises InputError where they
    are not one for each bar.
    """
    player = player_for(tune, player)
    path = fingering.paths[0]
    strikes = find_strikes(tune, path)
    passages = find_flash(tune, strikes, reading)
    curves = draw_curves(tune, strikes, reading, passages, levels)
    sections = section_arcs(tune, curves, strikes)
    flash = budget_flash(tune, strikes, passages)
    over = flash.spent > flash.budget
    wanted = [passage for passage in passages if every or could_be_plainer(passage, over)]
    if not every:
        wanted = sorted(wanted, key=lambda passage: -passage.cost)[:MOST]
    plainer = tuple(
        replace(passage, plainer=make_plainer(tune, path, reading, strikes, passage, player))
        if passage in wanted else passage
        for passage in passages
    )  # fmt: skip
    return Arc(
        numbers=tuple(tune.chart.number(bar) for bar in range(len(tune.chart.bars))),
        curves=curves,
        level_measured=levels is not None,
        climax=find_climax(tune, curves, strikes),
        sections=sections,
        contrasts=find_contrasts(sections),
        breaks=read_breaks(tune, curves, strikes, reading),
        hits=read_hits(tune, strikes),
        answers=read_answers(tune, strikes),
        way_back=read_way_back(tune, strikes, path, player),
        flash=replace(flash, passages=plainer),
    )
