"""Learning the solo: loops of its hardest beats, a ladder of tempos for each, a log, a plan."""

from solowright.practice.course import Course, LoopCourse, make_course
from solowright.practice.ladder import Ladder, Standing, Task, Try, after, build_ladder, next_task, stand
from solowright.practice.log import Entry, drop_last, read_tries, write_try
from solowright.practice.loops import Loop, find_loops, loop_tune
from solowright.practice.loudness import allowed_minutes, loudness_caution
from solowright.practice.plan import Block, Day, Plan, make_plan

__all__ = [
    "Block",
    "Course",
    "Day",
    "Entry",
    "Ladder",
    "Loop",
    "LoopCourse",
    "Plan",
    "Standing",
    "Task",
    "Try",
    "after",
    "allowed_minutes",
    "build_ladder",
    "drop_last",
    "find_loops",
    "loop_tune",
    "loudness_caution",
    "make_course",
    "make_plan",
    "next_task",
    "read_tries",
    "stand",
    "write_try",
]
