"""The footer: the keys that work now, stop first."""

from __future__ import annotations

from collections.abc import Iterable

from rich.text import Text
from textual.widgets import Static

from wizard.actions import Action, shown


def keys_words(actions: Iterable[Action], columns: int) -> Text:
    """Return key and label of each action, as many as fit in one row; stop always does."""
    line = Text(no_wrap=True)
    for action in (each for each in actions if each.label):
        key, label = f" {shown(action.key)} ", f" {action.label}  "
        if action.name == "stop_job":
            key, label = f" {shown(action.key)}  {action.label} ", "  "
        if len(line) + len(key) + len(label) > columns:
            continue
        line.append(key, "bold reverse")
        line.append(label)
    return line


class KeysBar(Static):
    """Shows the actions of one place."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._actions: tuple[Action, ...] = ()

    def show(self, actions: tuple[Action, ...]) -> None:
        """Show the keys of these actions."""
        if actions != self._actions:
            self._actions = actions
            self.refresh(layout=True)

    def render(self) -> Text:
        """The row for the present width."""
        return keys_words(self._actions, self.size.width)
