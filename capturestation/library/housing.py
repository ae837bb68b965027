"""Where a library's rows lie: beside its folders, or apart from them on a disk of this computer.

The folders are the truth and may lie on any disk. The rows are a view that can be made anew, so
each computer may have its own; whose are up to date is told by a token that the last one to hold
the library left in its folder and in its own rows.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

from platformdirs import user_data_path
from sqlite_utils import Database

from capturestation.errors import LibraryError, NotFoundError
from capturestation.folders import check_id, read_document, remove_folder, write_document
from capturestation.folders.patience import reachable
from capturestation.library.disk import Disk, disk_of
from capturestation.library.places import Card, Places
from capturestation.library.turn import Turn
from capturestation.records import new_id

_LONGEST_ROWS = 240 if os.name == "nt" else 480
# SQLite refuses longer paths: 260 signs on Windows, 512 elsewhere, with what it lays beside.
_TOKENS = 2**31 - 1
# SQLite keeps a user's number of 32 bits with sign in the database's head.


class Why(StrEnum):
    """Why the rows lie where they do."""

    BESIDE = "beside the folders, on a disk of this computer"
    NETWORK = "on this computer, because the library lies on a network disk"
    SYNCED = "on this computer, because the library's folder is kept the same on several computers"
    LONG = "on this computer, because the library's path is longer than the database can open"
    ASKED = "on this computer, as you asked"
    NOWHERE = "beside the folders, without a write-ahead file: no folder here is on a local disk"


@dataclass(frozen=True, slots=True, kw_only=True)
class Housing:
    """Where the rows of one library lie, and why."""

    rows: Path
    why: Why


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """What the last one to have the library open left in it: the number that its rows carry."""

    token: int


def default_local() -> Path:
    """Where rows lie that can't lie beside their folders: this account's own data folder."""
    return user_data_path("capturestation") / "rows"


def find_places(folder: Path, local: Path | None = None) -> tuple[Places, Why]:
    """The paths of the library in a folder, and why its rows lie where they do; writes nothing.

    Args:
        folder: Its top folder.
        local: Where rows may lie instead; None is this account's own data folder.

    Raises:
        LibraryError: If its `library.json` is damaged or newer than this program, or the system
            can't look there.
    """
    try:
        return _found(folder, default_local() if local is None else local)
    except OSError as error:
        raise LibraryError(
            f"{folder} can't be a library's folder: {error.strerror or error}.",
            try_next="Check the folder's name and its disk.",
            subject=str(folder),
        ) from error


def _found(folder: Path, local: Path) -> tuple[Places, Why]:
    places = Places(reachable(folder), local=local)
    if places.card_file.exists():
        places = replace(places, card=_read_card(places.card_file))
    card = places.card or Card(id=new_id())
    why = _why_apart(places, card)
    if why is Why.BESIDE:
        return places, why
    if disk_of(local) is not Disk.LOCAL:
        return places, Why.NOWHERE
    return replace(places, apart=local / _name(card, places.root), card=card), why


def _why_apart(places: Places, card: Card) -> Why:
    if card.rows_apart:
        return Why.ASKED
    disk = disk_of(places.root)
    if disk is not Disk.LOCAL:
        return Why.NETWORK if disk is Disk.NETWORK else Why.SYNCED
    too_long = len(os.fsencode(places.database.absolute())) > _LONGEST_ROWS
    return Why.LONG if too_long else Why.BESIDE


def _name(card: Card, root: Path) -> str:
    # A copy of a library carries its id too; the two must not share rows.
    where = hashlib.sha256(os.fsencode(root.resolve())).hexdigest()[:8]
    return f"{card.id}-{where}"


def _read_card(path: Path) -> Card:
    card = read_document(path, "library", Card)
    try:
        check_id(card.id)
    except ValueError as error:
        hint = "Remove this one file; the library gets a new one when it is opened."
        raise LibraryError(f"{path}: {error}.", try_next=hint, subject=str(path)) from error
    return card


def card_of(places: Places) -> Card:
    """What a library that is there says of itself.

    Raises:
        LibraryError: If its `library.json` is missing, damaged or newer.
    """
    return places.card or _read_card(places.card_file)


def keep_rows_apart(folder: Path, apart: bool) -> None:
    """Say that a library's rows shall lie apart from its folders, or where the disk lets them.

    The rows move when the library is opened next: they are made anew from the folders.

    Raises:
        NotFoundError: If no library lies there.
        LibraryError: If its `library.json` is damaged or newer than this program.
        OutputError: If it can't be written.
    """
    places, _ = find_places(folder)
    if not places.card_file.exists() and not places.has_content():
        what = f"There is no library in {folder}."
        raise NotFoundError(what, try_next="Choose its folder.", subject=str(folder))
    key = places.card.id if places.card else new_id()
    write_document(places.card_file, "library", Card(id=key, rows_apart=apart))


def held_by(places: Places) -> int | None:
    """The token of whoever had the library open last; None where rows never lay apart.

    Raises:
        LibraryError: If the file is damaged.
    """
    if not places.holder_file.exists():
        return None
    return read_document(places.holder_file, "holder", Holder).token


def token_of(db: Database) -> int:
    """The token that rows carry; 0 for new ones."""
    return int(next(db.query("PRAGMA user_version"))["user_version"])


def set_token(db: Database, token: int) -> None:
    """Let rows carry a token."""
    db.execute(f"PRAGMA user_version = {token}")


def take_hold(db: Database, places: Places) -> None:
    """Leave a new token in rows and folder, where rows lie apart or ever did.

    A crash between the two leaves them different, and the rows are made anew: harmless.
    """
    if places.apart is None and held_by(places) is None:
        return
    token = 1 + secrets.randbelow(_TOKENS)
    set_token(db, token)
    write_document(places.holder_file, "holder", Holder(token=token))


def is_stale(db: Database, places: Places) -> bool:
    """Whether others changed the folders since these rows were last open, or there are no rows."""
    token = held_by(places)
    if token is None:
        return places.apart is not None and places.has_content()
    return token != token_of(db)


def need_hold(places: Places, token: int) -> None:
    """Refuse a change where another computer opened the library meanwhile.

    Raises:
        LibraryError: If so; nothing was changed.
    """
    held = held_by(places)
    if held is not None and held != token:
        raise LibraryError(
            f"{places.root} was opened on another computer meanwhile.",
            try_next="Close it there, then close and open it here; nothing was lost.",
            subject=str(places.root),
        )


def remove_other_rows(places: Places) -> None:
    """Remove rows that this computer made of the library while its folder had another path.

    Somebody who is forgotten must not stay in them. Rows that are open now are left: whatever
    has them open belongs to a copy of the library, which keeps its own people.
    """
    if places.local is None:
        return
    card = card_of(places)
    for rows in sorted(places.local.glob(f"{card.id}-*")):
        if rows != places.apart:
            turn = Turn(rows / places.lock.name)
            is_free = turn.alone
            turn.release()
            if is_free:
                remove_folder(rows)
