"""What a coach should know of how a swing's files are read: ranges, rates, tracks, turns.

Read from the files each time: what is said depends on how this program reads them today.
"""

from __future__ import annotations

from capturestation.errors import NotReadableError
from capturestation.library import Library
from capturestation.media.probe import probe
from capturestation.records import Swing, View


def about_files(library: Library, swing: Swing) -> dict[View, tuple[str, ...]]:
    """Sentences about each recording of a swing; one that can't be read says why.

    Raises:
        NotFoundError: If there is no such swing.
    """
    return {
        recording.view: _about(library, swing, recording.view)
        for recording in swing.facts.recordings
    }


def _about(library: Library, swing: Swing, view: View) -> tuple[str, ...]:
    try:
        return probe(library.media_path(swing, view)).said
    except NotReadableError as error:
        return (error.what,)
