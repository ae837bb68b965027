"""The golfer's joints from the pictures of one view, one after another.

Owns the way from 39 landmarks to our joints, and the square that follows the golfer. Refuses files
and clean-up: what the network says is kept as it is said (`swing.body` cleans it up).
"""

from __future__ import annotations

import numpy as np

from capturestation.records import Box, FloatArray, FrameArray, Hand
from capturestation.swing.tracks import JOINTS, BodyTrack, Joint
from capturestation.tracking.body_network import BodyNetwork, Landmarks
from capturestation.tracking.body_region import Region, region_of

PRESENT = 0.5
"""Less sure than this that somebody is there, and no joint is known."""
_LEFT = {
    Joint.LEAD_EAR: (7,),
    Joint.LEAD_SHOULDER: (11,),
    Joint.LEAD_ELBOW: (13,),
    Joint.LEAD_WRIST: (15,),
    Joint.LEAD_HAND: (17, 19),
    Joint.LEAD_HIP: (23,),
    Joint.LEAD_KNEE: (25,),
    Joint.LEAD_ANKLE: (27,),
    Joint.LEAD_HEEL: (29,),
    Joint.LEAD_TOE: (31,),
}
# Which landmarks of the network make which joint, on the left side, which leads in a right-handed
# golfer; the right side's numbers are one higher. A hand is the middle of its outer knuckles.
_TRIES = ((0.0, 1.0), (0.0, 0.75), (0.0, 1.35), (-0.25, 1.0), (0.25, 1.0), (-0.25, 0.75),
          (0.25, 0.75))  # fmt: skip
# Where to look for the golfer at first: aside in sides of the square, and how large.
_HIPS = (23, 24)
_SETTLE = 3
_GONE_FOR, _LOOK_EVERY = 6, 10
# Nobody in so many pictures, and only each tenth is looked at until somebody is there again.
_LEAP = 0.3
# Of the height: hips that are so far from where they were a picture ago are somebody else's.
_NOBODY = (np.full((len(JOINTS), 2), np.nan), np.zeros(len(JOINTS)))


class BodyTracker:
    """Takes the pictures of one view in turn.

    Args:
        network: Runs the pictures; this thread's own.
        hand: Of the golfer: which side leads.
        box: Where the golfer is, or how far the swing reaches.
        with_club: Whether the box holds the club's reach too.
    """

    def __init__(
        self, network: BodyNetwork, *, hand: Hand, box: Box | None, with_club: bool = True
    ) -> None:
        self._network = network
        self._rows = [_numbers(joint, hand) for joint in JOINTS]
        self._box, self._with_club = box, with_club
        self._region: Region | None = None
        self._gone = 0
        self._hips_px: FloatArray | None = None
        self._others = 0
        self._lies_deg = 0
        self._times_ns: list[int] = []
        self._joints: list[FloatArray] = []
        self._seen: list[FloatArray] = []

    def see(self, frame_rgb: FrameArray, time_ns: int) -> None:
        """Take one more picture in.

        Args:
            frame_rgb: (H, W, 3) uint8, all of one size.
            time_ns: Its time, later than the last one's.
        """
        if self._region is None:
            self._region = self._begin(frame_rgb)
        self._times_ns.append(time_ns)
        if self._gone >= _GONE_FOR and self._gone % _LOOK_EVERY:
            self._gone += 1
            self._note(*_NOBODY)
            return
        found = self._network(self._region.crop(frame_rgb))
        if self._is_another(found, self._region):
            # The square stays where the golfer was: he is there still.
            self._others += 1
            self._note(*_NOBODY)
            return
        self._gone = self._gone + 1 if found.present < PRESENT else 0
        self._note(*self._named(found, self._region))
        self._region = self._region.following(found)

    def _is_another(self, found: Landmarks, region: Region) -> bool:
        """Whether these are somebody else's joints, by where the hips are."""
        if found.present < PRESENT:
            return False
        hips = region.whole(found.at_px)[list(_HIPS)].mean(axis=0)
        known = self._hips_px
        if known is not None and np.linalg.norm(hips - known) > _LEAP * region.tall_px:
            return True
        self._hips_px = hips
        return False

    @property
    def lies_deg(self) -> int:
        """How far to turn the pictures clockwise until the golfer stands; 0 where he does."""
        return self._lies_deg

    @property
    def others_share(self) -> float:
        """In how many of the pictures, 0..1, somebody else was found where the golfer was."""
        return self._others / max(len(self._times_ns), 1)

    def _note(self, at_px: FloatArray, seen: FloatArray) -> None:
        self._joints.append(at_px)
        self._seen.append(seen)

    @property
    def last_px(self) -> FloatArray | None:
        """The joints of the last picture, (21, 2); None before the first."""
        return self._joints[-1] if self._joints else None

    def track(self) -> BodyTrack:
        """All that was seen."""
        n = len(self._times_ns)
        return BodyTrack(
            times_ns=np.array(self._times_ns, dtype=np.int64),
            joints_px=np.array(self._joints, dtype=np.float64).reshape(n, len(JOINTS), 2),
            seen=np.array(self._seen, dtype=np.float64).reshape(n, len(JOINTS)),
        )

    def _begin(self, frame_rgb: FrameArray) -> Region:
        """Find the golfer near the box; where nobody stands, look whether somebody lies."""
        box = self._box or Box(left=0.2, top=0.02, right=0.8, bottom=0.98)
        best, present = self._settled(frame_rgb, box)
        if present <= PRESENT:
            self._lies_deg = self._lying(frame_rgb, box)
        return best

    def _settled(self, frame_rgb: FrameArray, box: Box) -> tuple[Region, float]:
        """The square near a box once it has settled, and how likely somebody is in it."""
        best, present = self._searched(frame_rgb, box)
        for _ in range(_SETTLE if present > PRESENT else 0):
            found = self._network(best.crop(frame_rgb))
            best, present = best.following(found, 1.0), found.present
        return best, present

    def _searched(self, frame_rgb: FrameArray, box: Box) -> tuple[Region, float]:
        """The square near a box in which somebody is likeliest, and how likely."""
        height, width = frame_rgb.shape[:2]
        first = region_of(box, width, height, with_club=self._with_club and self._box is not None)
        best, best_present = first, -1.0
        for aside, size in _TRIES:
            tried = Region(
                x_px=first.x_px + aside * first.side_px,
                y_px=first.y_px,
                side_px=size * first.side_px,
            )
            found = self._network(tried.crop(frame_rgb))
            if found.present > best_present:
                best, best_present = tried.following(found, 1.0), found.present
            if found.present > PRESENT:
                break
        return best, best_present

    def _lying(self, frame_rgb: FrameArray, box: Box) -> int:
        """By how much a picture has to be turned clockwise until somebody stands in it; else 0."""
        turned = [(frame_rgb, box)]
        for _ in range(3):
            picture, place = turned[-1]
            turned.append((np.ascontiguousarray(np.rot90(picture, -1)), _quarter(place)))
        present = {90 * n: self._settled(*turned[n])[1] for n in (1, 2, 3)}
        likeliest = max(present, key=lambda turn_deg: present[turn_deg])
        return likeliest if present[likeliest] > PRESENT else 0

    def _named(self, found: Landmarks, region: Region) -> tuple[FloatArray, FloatArray]:
        """Our joints in the whole picture, (21, 2), and how well they are seen, (21,)."""
        if found.present < PRESENT:
            return _NOBODY
        at_px = region.whole(found.at_px)
        joints = np.array([at_px[rows].mean(axis=0) for rows in self._rows])
        seen = np.array([found.seen[rows].min() for rows in self._rows])
        return joints, seen


def _quarter(box: Box) -> Box:
    """Where a box is once its picture was turned a quarter clockwise."""
    return Box(left=1.0 - box.bottom, top=box.left, right=1.0 - box.top, bottom=box.right)


def _numbers(joint: Joint, hand: Hand) -> list[int]:
    """Which landmarks make a joint of a golfer of that hand."""
    if joint is Joint.NOSE:
        return [0]
    leads = joint in _LEFT
    is_left = leads == (hand is Hand.RIGHT)
    rows = _LEFT[joint if leads else joint.other]
    return [row if is_left else row + 1 for row in rows]


def hands_px(joints_px: FloatArray | None) -> tuple[FloatArray | None, float | None]:
    """Where the hands hold the club in one picture, and how tall the golfer stands in it.

    Args:
        joints_px: (21, 2) of one picture; None where nothing is known yet.

    Returns:
        (2,) the middle of both hands, and the height from nose to ankles; None where not known.
    """
    if joints_px is None or not np.isfinite(joints_px).all():
        return None, None
    rows = [Joint.LEAD_WRIST.place, Joint.TRAIL_WRIST.place, Joint.LEAD_HAND.place,
            Joint.TRAIL_HAND.place]  # fmt: skip
    feet = joints_px[[Joint.LEAD_ANKLE.place, Joint.TRAIL_ANKLE.place], 1].mean()
    return joints_px[rows].mean(axis=0), float(feet - joints_px[Joint.NOSE.place, 1])
