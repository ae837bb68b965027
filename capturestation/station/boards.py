"""The boards as a PDF: what is printed once to measure lenses and the bay.

Owns which boards there are and how their sheets become pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from calibration.boards import BAY_BOARD, LENS_BOARD
from calibration.sheets import Line, Paper, Sheet, sheets
from capturestation.drawing.board_pages import BoardPage, PageWord, board_pdf
from capturestation.errors import OutputError

__all__ = ["BOARDS", "Paper", "write_boards"]
BOARDS = {"lens": LENS_BOARD, "bay": BAY_BOARD}
"""By what they measure."""
_WORD_MM = 3.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """Boards on the disk."""

    file: Path
    pages: int


def write_boards(file: Path, paper: Paper, which: Sequence[str] = tuple(BOARDS)) -> Written:
    """Write the pages of boards, at true size.

    Args:
        file: Where; what is there is replaced.
        paper: What it is printed on.
        which: Names of `BOARDS`.

    Raises:
        OutputError: If it can't be written.
    """
    pages = [_page(sheet, name) for name in which for sheet in sheets(BOARDS[name], paper)]
    made = board_pdf(pages, "Boards")
    try:
        file.write_bytes(made)
    except OSError as error:
        raise OutputError(
            f"{file} can't be written: {error.strerror or error}.",
            try_next="Choose a folder that you may write to, with room on its disk.",
            subject=str(file),
        ) from error
    return Written(file=file, pages=len(pages))


def _page(sheet: Sheet, name: str) -> BoardPage:
    ruler, (_, high) = sheet.ruler, sheet.size_mm
    start = ruler.line.start_mm
    told = f"Board for the {name}, sheet {sheet.number} of {sheet.of}. "
    told += f"This line is {ruler.length_mm:g} mm long."
    at = (ruler.line.end_mm[0] + _WORD_MM, min(start[1] - _WORD_MM, high - 2 * _WORD_MM))
    return BoardPage(
        size_mm=sheet.size_mm,
        dark=sheet.dark,
        lines=tuple(_ends(line) for line in (ruler.line, *ruler.ticks, *sheet.lay)),
        cuts=tuple(_ends(line) for line in sheet.cut),
        words=(PageWord(text=told, at_mm=at, high_mm=_WORD_MM),),
    )


def _ends(line: Line) -> tuple[float, float, float, float]:
    return (*line.start_mm, *line.end_mm)
