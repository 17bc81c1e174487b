"""Recordings, byte for byte as they were handed in, named by their SHA-256.

A recording lies in pieces of one mebibyte: a database may refuse one large blob,
and pieces are written and read with the memory of one. The same bytes handed in
again are the same recording. Nothing here ever changes a recording.
"""

import hashlib
from collections.abc import Iterable, Iterator

from sqlalchemy import Connection, insert, select, update

from reedwright.errors import FileError, RecordingError
from reedwright.jobs.ports import RecordingRecord
from reedwright.store.columns import blob, identifier, pointer, table, text, whole
from reedwright.store.records import Shelf, add, find, identifiers
from reedwright.store.rows import checked_moment, from_row, to_row

__all__ = ["PIECE_BYTES", "RECORDINGS", "RECORDING_PIECES", "RecordingShelf"]

PIECE_BYTES = 1 << 20

RECORDINGS = table(
    "recordings",
    identifier("recording_id"),
    text("sha256", unique=True),
    whole("size_bytes"),
    text("media_type"),
    text("original_name"),
    text("added_at"),
)

RECORDING_PIECES = table(
    "recording_pieces",
    pointer("recording_id", "recordings.recording_id", primary_key=True),
    whole("number", primary_key=True),
    blob("piece"),
)


class RecordingShelf(Shelf):
    """The recordings of a workshop; what each call does is said in ``jobs.ports``."""

    def add_recording(
        self, chunks: Iterable[bytes], *, original_name: str, media_type: str, added_at: str
    ) -> RecordingRecord:
        """Keep a recording, read piece by piece; the same bytes again give the first record."""
        checked_moment(added_at, "added_at")
        unnamed = RecordingRecord(0, "", 0, media_type, original_name, added_at)
        with self.atomic() as connection:
            # The name is known when the last piece is written. Until then the empty name
            # stands for it, and being unique makes a second writer wait for this one.
            with connection.begin_nested() as trial:
                recording_id = add(
                    connection, RECORDINGS, to_row(unnamed, without={"recording_id"})
                )
                sha256, size_bytes = _add_pieces(connection, recording_id, chunks)
                same = select(RECORDINGS.c.recording_id).where(RECORDINGS.c.sha256 == sha256)
                known_id = connection.execute(same).scalar_one_or_none()
                if known_id is None:
                    named = update(RECORDINGS).where(RECORDINGS.c.recording_id == recording_id)
                    connection.execute(named.values(sha256=sha256, size_bytes=size_bytes))
                else:
                    trial.rollback()
            return self.recording(recording_id if known_id is None else known_id)

    def recording(self, recording_id: int) -> RecordingRecord:
        """Return what is known of one recording."""
        with self.snapshot() as connection:
            return from_row(RecordingRecord, find(connection, RECORDINGS, recording_id))

    def recordings(self) -> tuple[RecordingRecord, ...]:
        """Return all recordings, the oldest first."""
        with self.snapshot() as connection:
            found = identifiers(connection, RECORDINGS)
            return tuple(self.recording(recording_id) for recording_id in found)

    def recording_pieces(self, recording_id: int) -> Iterator[bytes]:
        """Yield the bytes piece by piece; FileError after the last if they were damaged."""
        recording = self.recording(recording_id)
        digest = hashlib.sha256()
        for number in range(-(-recording.size_bytes // PIECE_BYTES)):
            piece = self._piece(recording_id, number)
            digest.update(piece)
            yield piece
        if digest.hexdigest() != recording.sha256:
            raise FileError(
                f"a recording must read back as it was kept, number {recording_id} "
                f"({recording.original_name}) does not match its checksum; restore it from a "
                "backup, or hand in the original again"
            )

    def _piece(self, recording_id: int, number: int) -> bytes:
        # One short transaction per piece: a slow reader must not hold the log open.
        with self.snapshot() as connection:
            found = connection.execute(
                select(RECORDING_PIECES.c.piece).filter_by(recording_id=recording_id, number=number)
            ).scalar_one_or_none()
        return b"" if found is None else found


def _add_pieces(
    connection: Connection, recording_id: int, chunks: Iterable[bytes]
) -> tuple[str, int]:
    """Write the pieces; return the checksum and the size."""
    digest = hashlib.sha256()
    size_bytes = 0
    for number, piece in enumerate(_pieces(chunks)):
        digest.update(piece)
        size_bytes += len(piece)
        connection.execute(
            insert(RECORDING_PIECES).values(recording_id=recording_id, number=number, piece=piece)
        )
    if size_bytes == 0:
        raise RecordingError(
            "a recording holds sound, this one is empty (0 bytes); check that it was copied whole"
        )
    return digest.hexdigest(), size_bytes


def _pieces(chunks: Iterable[bytes]) -> Iterator[bytes]:
    """Yield the same bytes in pieces of one size, the last one shorter."""
    waiting = bytearray()
    for chunk in chunks:
        for start in range(0, len(chunk), PIECE_BYTES):
            waiting += chunk[start : start + PIECE_BYTES]
            if len(waiting) >= PIECE_BYTES:
                yield bytes(waiting[:PIECE_BYTES])
                del waiting[:PIECE_BYTES]
    if waiting:
        yield bytes(waiting)
