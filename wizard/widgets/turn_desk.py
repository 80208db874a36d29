"""Turns that were asked for, ticked off one by one. Values only: every change gives a new desk."""

from __future__ import annotations

import msgspec


class TurnDesk(msgspec.Struct, frozen=True):
    """told: turns by adjuster, in the order asked; made: those ticked, with what was really turned."""

    told: dict[str, float]
    made: dict[str, float] = {}
    current: str = ""

    @classmethod
    def begin(cls, told: dict[str, float]) -> TurnDesk:
        """Return a desk with nothing ticked, at the first adjuster."""
        return cls(told, {}, next(iter(told), ""))

    @property
    def done(self) -> bool:
        """Whether every turn is ticked."""
        return len(self.made) == len(self.told)

    @property
    def names(self) -> tuple[str, ...]:
        """The adjusters, in the order asked."""
        return tuple(self.told)

    def tick(self, turns: float | None = None) -> TurnDesk:
        """Return the desk with the current turn made, as told or by another amount."""
        if not self.current:
            return self
        made = {**self.made, self.current: self.told[self.current] if turns is None else turns}
        return msgspec.structs.replace(self, made=made, current=self._next(made))

    def at(self, number: int) -> TurnDesk:
        """Return the desk at adjuster `number`, 1 the first; ticked already, its tick is taken away."""
        if not 1 <= number <= len(self.told):
            return self
        name = self.names[number - 1]
        made = {key: value for key, value in self.made.items() if key != name}
        return msgspec.structs.replace(self, made=made, current=name)

    def beside(self, step: int) -> TurnDesk:
        """Return the desk one adjuster on (+1) or back (-1); ticks stay."""
        if not self.current:
            return self
        index = (self.names.index(self.current) + step) % len(self.told)
        return msgspec.structs.replace(self, current=self.names[index])

    def _next(self, made: dict[str, float]) -> str:
        index = self.names.index(self.current)
        ahead = (*self.names[index + 1 :], *self.names[:index])
        return next((name for name in ahead if name not in made), self.current)
