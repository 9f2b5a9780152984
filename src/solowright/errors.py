"""The one error that a user's input can cause: a clear line, never a traceback.

The text says where (file, line and column, or bar and beat), what is wrong and what to do.
"""

from __future__ import annotations

from dataclasses import dataclass


class InputError(ValueError):
    """Input that can't be used. ``str(error)`` is the one line that the user sees."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding about an input file. ``line`` and ``column`` count from 1; 0 where unknown."""

    file: str
    line: int
    column: int
    text: str

    def __str__(self) -> str:
        if self.line:
            return f"{self.file}:{self.line}:{self.column}: {self.text}"
        return f"{self.file}: {self.text}"


class FileError(InputError):
    """Every problem found in one file. The command line prints the first, ``check`` prints all."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(str(problems[0]))
        self.problems = problems
