"""Recordings: byte for byte, in pieces, each kept once."""

import hashlib
import random
import tracemalloc
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import delete, func, select, update

from reedwright.errors import FileError, RecordingError
from reedwright.jobs.ports import RecordingRecord
from reedwright.store import Workshop, open_workshop
from reedwright.store.recordings import PIECE_BYTES, RECORDING_PIECES, RECORDINGS

NOW = "2026-11-25T14:03:00+00:00"


def noise(size: int, seed: int = 1) -> bytes:
    """Return ``size`` bytes without a pattern."""
    return random.Random(seed).randbytes(size)  # noqa: S311 -- no secrets


def keep(workshop: Workshop, chunks: Iterable[bytes], name: str = "a.wav") -> RecordingRecord:
    """Add a recording under a name."""
    return workshop.add_recording(chunks, original_name=name, media_type="audio/wav", added_at=NOW)


def pieces_kept(workshop: Workshop) -> int:
    """Return how many pieces lie in the workshop."""
    with workshop.snapshot() as connection:
        return connection.execute(select(func.count()).select_from(RECORDING_PIECES)).scalar_one()


@pytest.mark.parametrize("size", [1, PIECE_BYTES - 1, PIECE_BYTES, PIECE_BYTES + 1, 3_500_000])
@pytest.mark.parametrize("chunk", [1000, PIECE_BYTES, 10_000_000])
def test_bytes_come_back_as_handed_in(workshop: Workshop, size: int, chunk: int) -> None:
    """Whatever the size and however it is handed in, it comes back whole in pieces of 1 MiB."""
    content = noise(size)
    recording = keep(workshop, [content[at : at + chunk] for at in range(0, size, chunk)])
    assert recording.sha256 == hashlib.sha256(content).hexdigest()
    assert recording.size_bytes == size
    pieces = list(workshop.recording_pieces(recording.recording_id))
    assert b"".join(pieces) == content
    assert {len(piece) for piece in pieces[:-1]} <= {PIECE_BYTES}
    assert workshop.recording(recording.recording_id) == recording


def test_the_same_bytes_are_kept_once(workshop: Workshop) -> None:
    """Handed in again under another name, they are the first recording; others are others."""
    first = keep(workshop, [noise(2_000_000)], "first.wav")
    other = keep(workshop, [noise(10, seed=2)], "other.wav")
    again = keep(workshop, [noise(2_000_000)], "again.wav")
    assert again == first
    assert workshop.recordings() == (first, other)
    assert pieces_kept(workshop) == 3


def test_an_empty_recording_is_refused(workshop: Workshop) -> None:
    """Nothing at all is no recording, and leaves nothing behind."""
    with pytest.raises(RecordingError, match="0 bytes"):
        keep(workshop, [b"", b""])
    assert workshop.recordings() == ()


def test_a_recording_that_breaks_off_leaves_nothing(workshop: Workshop) -> None:
    """When the source fails half-way, the error comes through and no piece stays."""

    def failing() -> Iterator[bytes]:
        yield noise(3_000_000)
        raise OSError("the stick was pulled out")

    with pytest.raises(OSError, match="pulled out"):
        keep(workshop, failing())
    assert workshop.recordings() == ()
    assert pieces_kept(workshop) == 0


def test_a_recording_within_a_larger_action_goes_with_it(workshop: Workshop) -> None:
    """A duplicate inside ``atomic`` undoes itself alone; an error undoes all."""
    first = keep(workshop, [b"one"])

    def keep_both() -> None:
        with workshop.atomic():
            assert keep(workshop, [b"one"]) == first
            keep(workshop, [b"two"])
            assert len(workshop.recordings()) == 2
            raise KeyError("enough")

    with pytest.raises(KeyError, match="enough"):
        keep_both()
    assert workshop.recordings() == (first,)


@pytest.mark.parametrize("damage", ["changed", "lost"])
def test_damage_is_told_when_read(workshop: Workshop, damage: str) -> None:
    """A piece that changed or went missing is noticed by the checksum, at the end of reading."""
    recording = keep(workshop, [noise(2_500_000)])
    piece = (RECORDING_PIECES.c.recording_id == recording.recording_id) & (
        RECORDING_PIECES.c.number == 1
    )
    with workshop.atomic() as connection:
        if damage == "lost":
            connection.execute(delete(RECORDING_PIECES).where(piece))
        else:
            wrong = update(RECORDING_PIECES).where(piece).values(piece=noise(PIECE_BYTES, seed=3))
            connection.execute(wrong)
    with pytest.raises(FileError, match=r"a\.wav\) does not match its checksum"):
        list(workshop.recording_pieces(recording.recording_id))


def test_memory_stays_at_a_few_pieces(workshop_path: Path) -> None:
    """Forty mebibytes go in and out with the memory of less than ten."""
    with open_workshop(workshop_path, create=True) as workshop:
        tracemalloc.start()
        try:
            chunks = (noise(PIECE_BYTES, seed) for seed in range(40))
            recording = keep(workshop, chunks)
            size = sum(map(len, workshop.recording_pieces(recording.recording_id)))
            _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
    assert size == 40 * PIECE_BYTES
    assert peak < 10 * PIECE_BYTES


def test_a_checksum_names_one_recording_only(workshop: Workshop) -> None:
    """The database itself refuses two recordings of one name."""
    first, second = keep(workshop, [b"one"]), keep(workshop, [b"two"])
    this = RECORDINGS.c.recording_id == second.recording_id

    def rename() -> None:
        with workshop.atomic() as connection:
            connection.execute(update(RECORDINGS).where(this).values(sha256=first.sha256))

    with pytest.raises(Exception, match=r"(?i)unique"):
        rename()
