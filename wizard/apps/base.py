"""What every Tramwright application has: themes, marks, the key map and the common actions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

from rich.console import RenderableType
from textual import events
from textual.app import App
from textual.binding import Binding, BindingType
from textual.filter import LineFilter, Monochrome, NoColor
from textual.screen import Screen

from wizard import exits
from wizard.actions import ACTIONS, Action, Place
from wizard.keymap import USUAL, KeyMap
from wizard.signals import when_told
from wizard.widgets.marks import FULL, HarmlessText, Marks, PlainCharacters, Together
from wizard.widgets.shown import Shown, only_changes
from wizard.widgets.theme import BARE, DARK, LIGHT, THEMES

Result = TypeVar("Result")
_NAMES = frozenset(action.name for action in ACTIONS)


def _bindings(actions: Sequence[Action]) -> list[BindingType]:
    return [
        Binding(",".join(a.keys), a.name, a.label, show=False, id=a.name, priority=a.name == "stop_job")
        for a in actions
    ]


class TramwrightApp(App[Result], Generic[Result], inherit_bindings=False):
    """Themes, marks and keys; what it shows first is a subclass's."""

    TITLE = "Tramwright"
    CSS_PATH = "layout.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = _bindings(ACTIONS)

    def __init__(self, marks: Marks = FULL, theme: str = DARK.name, keys: KeyMap = USUAL) -> None:
        super().__init__()
        self.marks = marks
        self._shown = Shown()
        self._last_changes: dict[tuple[str, bool | None], tuple[LineFilter, ...]] = {}
        self.keys = keys
        self.actions = keys.actions
        for each in THEMES:
            self.register_theme(each)
        self.theme = theme
        self.stylesheet.set_variables(self.get_css_variables())
        self._styled = False
        if keys is not USUAL:  # the bindings have the usual ones; a map is gone through at every key
            self.set_keymap({each.name: ",".join(each.keys) for each in self.actions})

    async def on_mount(self) -> None:
        """Listen to the system: an interrupt from outside is not a key."""
        when_told({"SIGINT": self.told_to_stop})

    def told_to_stop(self) -> None:
        """From outside: leave, as there is no job that could be stopped."""
        self.exit(return_code=exits.STOPPED)

    def refresh_css(self, animate: bool = True) -> None:
        """Read the styles anew; but not at the start, when they are read with the chosen theme anyway."""
        if self._styled:
            super().refresh_css(animate)
        self._styled = True

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Return the last changes before the terminal, as one: it is asked for at every widget painted."""
        look = (self.theme, self.ansi_color)
        if look not in self._last_changes:
            self._last_changes[look] = (Together(self._line_filters()),)
        return self._last_changes[look]

    def _line_filters(self) -> list[LineFilter]:
        """Return what is done: no colour, or plain characters, where the terminal has none."""
        kept = [each for each in super().get_line_filters() if not isinstance(each, Monochrome | NoColor)]
        kept.append(HarmlessText())
        if self.theme == BARE.name:
            kept.append(NoColor())
        if self.marks.plain:
            kept.append(PlainCharacters())
        return kept

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        """Write only what differs from what stands on the terminal. Where this is never called, all is."""
        super()._display(screen, only_changes(renderable, self._shown))

    def on_resize(self, _: events.Resize) -> None:
        """Paint all anew: a terminal that is resized, or was let go and taken again, may show anything."""
        self.action_redraw()

    def action_redraw(self) -> None:
        """Paint all anew."""
        self._shown.forget()
        self.screen.refresh()

    @property
    def place(self) -> Place:
        """Where the person is: which keys work."""
        place: Place = getattr(self.screen, "place", "home")
        return place

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let an action of the registry work only at its places."""
        if action not in _NAMES:
            return True
        return any(each.name == action and self.place in each.places for each in self.actions)

    def action_help(self) -> None:
        """Lay the help over what is shown."""
        from wizard.screens.help import HelpScreen

        self.push_screen(HelpScreen(self.place, self.marks, self.actions))

    def action_close(self) -> None:
        """Take away what lies over the step."""
        self.pop_screen()

    def action_contrast(self) -> None:
        """Change between the dark and the light background."""
        if self.theme != BARE.name:
            self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    def action_leave(self) -> None:
        """Leave."""
        self.exit()

    def action_interrupt(self) -> None:
        """Leave, as there is no job that could be stopped."""
        self.exit()
