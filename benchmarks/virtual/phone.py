"""What a telephone does to a recording: AAC in an M4A container, and back."""

import io

import av
import numpy as np
from numpy.typing import NDArray

__all__ = ["through_a_phone"]

_BIT_RATE = 96_000


def through_a_phone(
    sound: NDArray[np.float64], *, sample_rate_hz: int, bit_rate: int = _BIT_RATE
) -> NDArray[np.float64]:
    """Return the sound, shape (n,), compressed to mono AAC and decoded again, in step with itself.

    Only sample rates that AAC knows (8, 11.025, 12, 16, 22.05, 24, 32, 44.1, 48 kHz ...)
    can be encoded.
    """
    memory = io.BytesIO()
    with av.open(memory, "w", format="mp4") as container:
        stream = container.add_stream("aac", rate=sample_rate_hz)
        stream.layout = "mono"
        stream.bit_rate = bit_rate
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(sound[np.newaxis], dtype=np.float32), format="fltp", layout="mono"
        )
        frame.sample_rate = sample_rate_hz
        frame.pts = 0
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            container.mux(packet)
    memory.seek(0)
    with av.open(memory, "r") as encoded:
        pieces = [heard.to_ndarray()[0] for heard in encoded.decode(audio=0)]
    decoded = np.concatenate(pieces).astype(np.float64)
    # The decoder drops the encoder's run-in where the container states it; what is left is padding.
    restored = np.zeros(sound.size)
    shared = min(sound.size, decoded.size)
    restored[:shared] = decoded[:shared]
    return restored
