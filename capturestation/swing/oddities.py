"""What is odd about how a golfer was seen: nobody, cut off, another hand, exchanged views.

Owns the sentences and what decides them: where feet and hands are as he stands, in both pictures.
Says nothing where the pictures don't decide it. Refuses pictures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from capturestation.records import NS_PER_S, BoolArray, Hand, View
from capturestation.swing.body import HIDDEN, tall_px
from capturestation.swing.hard_to_see import NOTICED
from capturestation.swing.tracks import BodyTrack, Company, Joint

_BEFORE_NS, _AFTER_NS = round(0.3 * NS_PER_S), round(0.1 * NS_PER_S)
_SEEN_SHARE = 0.2
# Of the pictures: seen in fewer, nobody stands there.
_WIDE, _WIDER = 0.15, 1.5
# Of the golfer's height: feet seen from the front; and how much wider than from behind they are.
_HANDS = 0.08
# Likewise, how far hands hang from over the feet to the ball's side, at the least.
_EXCHANGED = (
    "The two views look exchanged: feet stand wider in the one down the line. If they are, "
    "exchange them."
)
_FEET = (Joint.LEAD_ANKLE, Joint.TRAIL_ANKLE)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenBody:
    """One view's body as the network said it.

    Args:
        track: On the swing's clock; empty where it couldn't be told who swings.
        height_px: Of the picture.
        company: Who else was about.
    """

    track: BodyTrack
    height_px: int
    company: Company = field(default_factory=Company)


class Odd(StrEnum):
    """What can be odd."""

    UNSEEN = "unseen"
    EXCHANGED = "exchanged"
    OTHER_HAND = "other hand"
    TWO_PEOPLE = "two people"
    LIES = "lies across"
    HARDLY_SEEN = "hardly seen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Oddity:
    """One thing that a coach should look at.

    Args:
        odd: What.
        said: A sentence or two: what was seen, and what to do.
        view: In whose pictures; None where it is both.
        turn_deg: How far that view's pictures are to be turned clockwise.
        by_command: Where what to do can't be pressed, the command that does it.
    """

    odd: Odd
    said: str
    view: View | None = None
    turn_deg: int = 0
    by_command: str = ""

    @property
    def whole(self) -> str:
        """All of it, for whoever has no window before him."""
        return f"{self.said} ({self.by_command})" if self.by_command else self.said


def oddities(
    views: Mapping[View, SeenBody], *, hand: Hand, set_ns: int | None
) -> tuple[Oddity, ...]:
    """What a coach should look at.

    Args:
        views: Those that were looked through.
        hand: As it is written in the Book.
        set_ns: When he stands at set; None where that isn't known: the beginning counts.
    """
    told = []
    whole: dict[View, BodyTrack] = {}
    for view, one in views.items():
        beside = _others(view, one.company)
        if beside:
            told.append(
                Oddity(odd=Odd.TWO_PEOPLE, said=beside, view=view, by_command=_golfer(view))
            )
        if one.company.is_doubtful:
            continue
        if one.company.lies_deg:
            told.append(_lies(view, one.company.lies_deg))
            continue
        why = _unseen(view, one.track, one.height_px, set_ns)
        if why:
            told.append(Oddity(odd=Odd.UNSEEN, said=why, view=view, by_command=_golfer(view)))
        else:
            whole[view] = one.track
    front, behind = whole.get(View.FACE_ON), whole.get(View.DOWN_THE_LINE)
    if front is not None and behind is not None and _are_exchanged(front, behind, set_ns):
        return (*told, Oddity(odd=Odd.EXCHANGED, said=_EXCHANGED, by_command="swings exchange"))
    if behind is not None and _stands_other_way(behind, hand, set_ns):
        other = Hand.LEFT if hand is Hand.RIGHT else Hand.RIGHT
        said = (
            f"The golfer stands as a {other}-handed one does, and the Book says {hand}-handed. "
            "If the Book is wrong, change it and analyse again."
        )
        told.append(Oddity(odd=Odd.OTHER_HAND, said=said))
    return tuple(told)


def _others(view: View, company: Company) -> str:
    """What to know of who else was about in a view; empty where nobody was."""
    if company.is_doubtful:
        return (
            f"Two people move in the {view} picture and it can't be told who of them swings: "
            "nothing is measured by it. Say who the golfer is there, and analyse again."
        )
    if company.hidden_share > 0.0:
        percent = max(round(100.0 * company.hidden_share), 1)
        return (
            f"Somebody else stood before the golfer in {percent} % of the {view} pictures: "
            "what would be measured there is left out."
        )
    if company.others:
        return f"Two people move in the {view} picture; the one whose hands hold together counts."
    return ""


def _golfer(view: View) -> str:
    return f"swings golfer ... {view} --box ..."


def hardly_seen(wider: float) -> tuple[Oddity, ...]:
    """What to say where joints are seen so unsurely that errors are stated so much wider."""
    if wider < NOTICED:
        return ()
    said = (
        "The golfer's joints are hardly seen in the face-on picture, as under wide clothes: "
        f"errors are stated {wider:.1f} times as wide. Tighter clothes or better light tell more."
    )
    return (Oddity(odd=Odd.HARDLY_SEEN, said=said, view=View.FACE_ON),)


def _lies(view: View, turn_deg: int) -> Oddity:
    return Oddity(
        odd=Odd.LIES,
        said=(
            f"The golfer lies across the {view} picture: that camera stood on its side and its "
            "file doesn't say so. Nothing is measured by it until it is set upright; in the Bay, "
            "say so where the camera is set up."
        ),
        view=view,
        turn_deg=turn_deg,
        by_command=f"swings turn ... {view} --by {turn_deg}",
    )


def _unseen(view: View, track: BodyTrack, height_px: int, set_ns: int | None) -> str:
    """Why a view doesn't show a whole golfer; empty where it does."""
    surely = np.median(track.seen, axis=1) >= HIDDEN if len(track.seen) else np.zeros(0, np.bool_)
    if not len(surely) or surely.mean() < _SEEN_SHARE:
        return f"Nobody is seen in the {view} picture for long enough: nothing is measured by it."
    still = _still(track, set_ns)
    feet = np.stack([track.at(joint)[still, 1] for joint in _FEET])
    nose = track.at(Joint.NOSE)[still, 1]
    if not np.isfinite(feet).any() or np.nanmedian(feet) > height_px - 1:
        return f"The feet are cut off in the {view} picture: aim that camera lower."
    if not np.isfinite(nose).any() or np.nanmedian(nose) < 0:
        return f"The head is cut off in the {view} picture: aim that camera higher."
    return ""


def _still(track: BodyTrack, set_ns: int | None) -> BoolArray:
    """The pictures in which he stands at set."""
    times = track.times_ns
    if set_ns is not None:
        near = (times >= set_ns - _BEFORE_NS) & (times <= set_ns + _AFTER_NS)
        if near.any():
            return np.asarray(near, dtype=np.bool_)
    return np.arange(len(times)) < max(len(times) // 5, 1)


def _feet_apart(track: BodyTrack, set_ns: int | None) -> float:
    """How far the feet stand apart across the picture, in heights."""
    still = _still(track, set_ns)
    across = np.abs(track.at(_FEET[0])[still, 0] - track.at(_FEET[1])[still, 0])
    known = across[np.isfinite(across)]
    return float(np.median(known)) / tall_px(track) if len(known) else float("nan")


def _are_exchanged(front: BodyTrack, behind: BodyTrack, set_ns: int | None) -> bool:
    near, far = _feet_apart(front, set_ns), _feet_apart(behind, set_ns)
    return far > _WIDE and far > _WIDER * near


def _stands_other_way(behind: BodyTrack, hand: Hand, set_ns: int | None) -> bool:
    """Seen down the line a right-handed golfer's hands hang to the right of his feet."""
    still = _still(behind, set_ns)
    hands, feet = (behind.middle(j)[still, 0] for j in (Joint.LEAD_WRIST, Joint.LEAD_ANKLE))
    known = (hands - feet)[np.isfinite(hands - feet)]
    if not len(known):
        return False
    to_right = float(np.median(known)) / tall_px(behind)
    return to_right * (1.0 if hand is Hand.RIGHT else -1.0) < -_HANDS
