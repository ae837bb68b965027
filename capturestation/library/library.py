"""The library as everyone above sees it: open it, ask it, change it, close it."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.errors import LibraryError, NotFoundError
from capturestation.library.care import Care
from capturestation.library.places import Places


class Library(Care):
    """A folder of students, lessons and swings, open until it is closed.

    Several processes may have one library open; whoever comes alone repairs what a crash left.
    """

    @classmethod
    def open(cls, folder: Path, *, create: bool = True) -> Self:
        """Open the library in a folder.

        Args:
            folder: Its top folder.
            create: Make a new library if there is none.

        Raises:
            NotFoundError: If there is none and none is to be made.
            LibraryError: If it is damaged, locked or newer than this program, or its rows are lost
                while its folders are there.
            OutputError: If it can't be written.
        """
        places = Places(folder)
        if not places.database.exists() and not places.ready.exists():
            if places.has_content():
                raise LibraryError(
                    f"{folder} holds swings or students but no {places.database.name}.",
                    try_next="Rebuild the library from its folders; no recording is touched.",
                    subject=str(folder),
                )
            if not create:
                what = f"There is no library in {folder}."
                hint = "Check the folder's name, or begin one there by adding a student."
                raise NotFoundError(what, try_next=hint, subject=str(folder))
        places.make()
        return cls(places)

    @property
    def folder(self) -> Path:
        """The library's top folder."""
        return self.places.root

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
