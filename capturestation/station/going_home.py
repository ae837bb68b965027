"""All that a student takes home of a lesson: clip, page and web page, together or not at all.

Owns that nothing is made without the consent for sharing that the age needs, and that a stopped or
failed job leaves nothing behind. File names say the day and the club, never whose swing it is.
"""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from capturestation.drawing.app import ensure_app
from capturestation.drawing.home_sides import home_pdf
from capturestation.folders import atomic_write_bytes
from capturestation.folders.gathering import gathered
from capturestation.library import Library
from capturestation.media.encode import refuse_taken
from capturestation.records import Part, Plain, Watch
from capturestation.station.clips import request_for
from capturestation.station.comparing import compare
from capturestation.station.finding import latest_or
from capturestation.station.framing import frame_swings
from capturestation.station.handout import ClipReport, make_clip, open_readers
from capturestation.station.home_content import (
    HomeJob,
    home_page,
    home_web,
    upright_mm,
    weeks_drawn,
)
from capturestation.station.home_web import web_page
from capturestation.station.home_wish import HomeWish
from capturestation.station.nameless import refuse_child_named
from capturestation.station.places import refuse_inside
from capturestation.station.sending import clip_name
from capturestation.station.sharing import refuse_unless_shared
from capturestation.station.side_by_side_film import drawn_on_film, plan_film, write_film
from capturestation.station.stills import Sights

__all__ = ["HomeWish", "TakenHome", "take_home"]
_LOOKED, _PRINTED, _FILMED = 0.12, 0.18, 0.42
# Of the whole job, when it is known how far the swings reach, the page is set, the film is made.
_FILM = "the film of the web page.mp4"
# As it is told if there is no room for it.


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenHome:
    """What was made.

    Args:
        clip: The clip.
        page: The PDF.
        web: The web page.
        said: What the coach should know, a sentence each.
    """

    clip: ClipReport
    page: Path
    web: Path
    said: tuple[str, ...]

    @property
    def files(self) -> tuple[Path, ...]:
        """All of them."""
        return (self.clip.path, self.page, self.web)

    def plain(self) -> dict[str, Plain]:
        """As JSON values."""
        return {
            "files": [path.as_posix() for path in self.files],
            "sizes_bytes": [path.stat().st_size for path in self.files],
            "duration_s": float(self.clip.duration_s),
            "said": list(self.said),
        }


def take_home(
    library: Library, now: str, then: str | None, wish: HomeWish, folder: Path, watch: Watch
) -> TakenHome:
    """Make all that goes home, in a folder of choice.

    Args:
        library: The library.
        now: Today's swing: its id, or "latest".
        then: The earlier one; None for the own best.
        wish: What is to go home.
        folder: Where; made if it isn't there.
        watch: Is told how far it is, and may stop it.

    Raises:
        ConsentRefusedError: If the consent to sharing isn't there; nothing was made.
        BadInputError: If words are too long, or hold a child's name.
        ComparisonRefusedError: If the two are unlike, or there is nothing to stand beside.
        OutputError: If a file is there already, or can't be written; nothing was left.
        NotReadableError: If a recording can't be read.
        CancelledError: If stopped; nothing was left.
    """
    refuse_inside(library, folder)
    wish.check()
    found = None if wish.is_alone else compare(library, now, then, at_one=wish.clip.at_one)
    swing = found.now if found else latest_or(library, now)
    refuse_unless_shared(library, swing)
    request = request_for(library, swing, found, wish.clip)
    job = HomeJob(library=library, now=swing, found=found, wish=wish, request=request)
    refuse_child_named(library, swing, job.texts)
    clip = clip_name(swing, found.then if found else None)
    names = tuple(f"{Path(clip).stem}{ending}" for ending in (".mp4", ".pdf", ".html"))
    if not wish.replace:
        for name in names:
            refuse_taken(folder / name)
    ensure_app()
    with gathered(folder) as place:
        report = _make(job, [place / name for name in names], watch)
        # The consent may have been taken back meanwhile.
        refuse_unless_shared(library, swing)
    clip_path, page, web = (folder / name for name in names)
    return TakenHome(
        clip=replace(report, path=clip_path), page=page, web=web, said=(*report.said, *_lacks(job))
    )


def _lacks(job: HomeJob) -> tuple[str, ...]:
    """What was asked for on the page and could not be there."""
    if not job.wish.with_weeks or weeks_drawn(job) is not None:
        return ()
    return (
        "No chart over the weeks: what the lesson works on is not measured in two lessons with "
        "such swings.",
    )


def _make(job: HomeJob, files: list[Path], watch: Watch) -> ClipReport:
    clip, page, web = files
    film_path = clip.with_name(_FILM)
    with ExitStack() as stack:
        readers = open_readers(job.whole, stack)
        framing = frame_swings(job.whole, readers, Part(watch, 0.0, _LOOKED))
        sights = Sights(request=job.whole, framing=framing, readers=readers)
        printed = home_page(job, sights, Part(watch, _LOOKED, _PRINTED))
        atomic_write_bytes(page, home_pdf(printed, upright_mm(job.wish.paper)))
        film = plan_film(sights)
        write_film(sights, film, film_path, Part(watch, _PRINTED, _FILMED))
        text = web_page(home_web(job, film, drawn_on_film(sights, film)), film_path.read_bytes())
        atomic_write_bytes(web, text.encode())
    # It lies in the page.
    film_path.unlink()
    return make_clip(job.request, clip, watch=Part(watch, _FILMED, 1.0), framing=framing)
