"""The library as everyone above sees it: open it, ask it, change it, close it."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.errors import LibraryError, NotFoundError
from capturestation.library.care import Care
from capturestation.library.connecting import copy_rows
from capturestation.library.housing import Housing, card_of, find_places
from capturestation.records import Quiet, Watch


class Library(Care):
    """A folder of students, lessons and swings, open until it is closed.

    Several processes may have one library open; whoever comes alone repairs what a crash left.
    """

    @classmethod
    def open(
        cls,
        folder: Path,
        *,
        create: bool = True,
        local: Path | None = None,
        watch: Watch | None = None,
    ) -> Self:
        """Open the library in a folder.

        Args:
            folder: Its top folder.
            create: Make a new library if there is none.
            local: Where rows may lie that can't lie there: on a network disk, in a mirrored
                folder. None is this account's own data folder.
            watch: Told how far it is where such rows have to be made anew from the folders.

        Raises:
            NotFoundError: If there is none and none is to be made.
            LibraryError: If it is damaged, locked or newer than this program, or its rows are lost
                while its folders are there.
            OutputError: If it can't be written.
            CancelledError: If the watch stops it.
        """
        places, why = find_places(folder, local)
        if not places.has_rows():
            filled = places.has_content()
            if filled and places.apart is None:
                raise LibraryError(
                    f"{folder} holds swings or students but no rows in {places.database.name}.",
                    try_next="Rebuild the library from its folders; no recording is touched.",
                    subject=str(folder),
                )
            if not create and not filled:
                what = f"There is no library in {folder}."
                hint = "Check the folder's name, or begin one there by adding a student."
                raise NotFoundError(what, try_next=hint, subject=str(folder))
        places.make()
        return cls(places, why, watch or Quiet())

    @property
    def housing(self) -> Housing:
        """Where the rows lie, and why there."""
        return Housing(rows=self.places.rows, why=self._why)

    def back_up_rows(self, target: Path) -> None:
        """Copy the rows as they stand to a free name and read the copy over; others may go on.

        Raises:
            OutputError: If the name is taken or can't be written; nothing is left of it.
            LibraryError: If the rows, or the copy, are damaged.
        """
        copy_rows(self.places.database, target)

    @property
    def folder(self) -> Path:
        """The library's top folder."""
        return self.places.root

    @property
    def key(self) -> str:
        """Its own id, which it keeps wherever it is carried; what is made of it is kept under it.

        Raises:
            LibraryError: If its `library.json` is missing, damaged or newer.
        """
        return card_of(self.places).id

    @property
    def inbox(self) -> Path:
        """Where capture leaves what it recorded."""
        return self.places.inbox

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
