"""A bad cable for a simulated printer: now and then a byte arrives changed, or not at all. From a seed."""

from __future__ import annotations

import numpy as np


class Noise:
    """Spoils bytes with a probability each: half of them lose a bit, half of them are lost whole.

    Line ends are not spared: two lines may run together. `both_ways`: answers are spoilt as well as blocks.
    """

    def __init__(self, per_byte: float, seed: int = 1, both_ways: bool = True) -> None:
        self._per_byte = per_byte
        self._both_ways = both_ways
        self._rng = np.random.default_rng([seed, 8])
        self.spoilt = 0

    def on_answers(self, data: bytes) -> bytes:
        """Return what arrives at the host."""
        return self.on_blocks(data) if self._both_ways else data

    def on_blocks(self, data: bytes) -> bytes:
        """Return what arrives at the machine."""
        arrived = bytearray()
        hit = self._rng.random(len(data)) < self._per_byte
        for byte, is_hit in zip(data, hit.tolist(), strict=True):
            if not is_hit:
                arrived.append(byte)
                continue
            self.spoilt += 1
            if self._rng.random() < 0.5:
                arrived.append(byte ^ (1 << int(self._rng.integers(8))))
        return bytes(arrived)
