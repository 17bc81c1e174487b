"""Where a workshop lies: the path of a file, or the address of a PostgreSQL database."""

import os
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from reedwright.errors import FileError, NotFound

__all__ = ["database_url", "refuse_folder", "refuse_missing", "refuse_read_only"]


def database_url(location: str | Path) -> URL:
    """Return the address as SQLAlchemy takes it; FileError if it is neither of the two."""
    address = str(location)
    if "://" not in address:
        return URL.create("sqlite", database=str(Path(location).absolute()))
    try:
        url = make_url(address)
    except (ArgumentError, ValueError) as trouble:
        raise FileError(
            "the address of a workshop's server is not readable; write it like "
            "postgresql://user@host/workshop"
        ) from trouble
    if url.get_backend_name() != "postgresql":
        raise FileError(
            f"a workshop is a file or a PostgreSQL database, got {url.get_backend_name()}; give "
            "a path, or an address like postgresql://user@host/workshop"
        )
    return url.set(drivername="postgresql+psycopg")


def refuse_folder(path: Path) -> None:
    """Refuse, with FileError, a path that no workshop file can have."""
    if path.is_dir():
        raise FileError(
            f"a workshop is one file, {path} is a folder; name a file in it, such as "
            f"{path / 'workshop.reedwright'}"
        )
    if not path.parent.is_dir():
        raise FileError(
            f"a workshop file lies in a folder, {path.parent} is none; make the folder, connect "
            "its disk, or check the spelling"
        )


def refuse_missing(path: Path) -> None:
    """Refuse, with NotFound, a path where no file is; FileError as ``refuse_folder``."""
    refuse_folder(path)
    if not path.exists():
        raise NotFound(
            f"a workshop file must exist to be opened, there is none at {path}; check the path or "
            "begin a new workshop there"
        )


def refuse_read_only(path: Path) -> None:
    """Refuse, with FileError, a file or folder that may not be written."""
    for place in (path, path.parent):
        # SQLite would open such a file and only fail at the first thing to keep.
        if place.exists() and not _is_writable(place):
            raise FileError(
                f"a workshop file and its folder must be writable, {place} is read-only; change "
                "its rights, or copy the file to where you may write"
            )


def _is_writable(place: Path) -> bool:
    return os.access(place, os.W_OK, effective_ids=os.access in os.supports_effective_ids)
