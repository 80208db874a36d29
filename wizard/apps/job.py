"""One job on a terminal: its session in a worker, its screens, its exit code."""

from __future__ import annotations

from typing import cast

from textual.worker import Worker, WorkerState

from wizard import exits
from wizard.apps.base import TramwrightApp
from wizard.facts import Facts
from wizard.keymap import USUAL, KeyMap
from wizard.requests import Outcome
from wizard.running.events import Faulted, StateChanged, StatusChanged
from wizard.screens.drives import MakeSession
from wizard.screens.ended import FaultScreen, StoppedScreen
from wizard.screens.job import JobScreen, Told
from wizard.signals import when_told
from wizard.solver import load
from wizard.widgets.marks import FULL, Marks, harmless
from wizard.widgets.theme import DARK
from wizard.widgets.virtual_bench import VirtualBench


class JobApp(TramwrightApp[int]):
    """Runs the session that `make_session` makes, once the first screen is painted."""

    def __init__(
        self,
        make_session: MakeSession,
        facts: Facts,
        bench: VirtualBench | None = None,
        *,
        marks: Marks = FULL,
        theme: str = DARK.name,
        keys: KeyMap = USUAL,
        record: str = "",
    ) -> None:
        """`record`: where the record of the run is kept; "" where it is not kept."""
        super().__init__(marks, theme, keys)
        self._make_session = make_session
        self.job = JobScreen(facts, bench, self.marks, keys, record)
        self._is_kept = bench is None
        self._leaving: int | None = None
        self._ended = False
        self._record = record
        self._outcome: Outcome | None = None

    @property
    def last_lines(self) -> tuple[str, ...]:
        """What stays on the terminal once the screen is gone."""
        from wizard.instructions.ending import last_lines

        record = "" if self.job.state.unrecorded else self._record  # whoever keeps it tells where
        return last_lines(self._outcome, record, self.resumes)

    @property
    def resumes(self) -> bool:
        """Whether the job could be taken up again: not what a virtual bench has, nor what is on no disk."""
        return self._is_kept and not self.job.state.unrecorded

    def get_default_screen(self) -> JobScreen:
        """Return the first screen: the job's own, so that none is made before it that nobody sees."""
        return self.job

    async def on_mount(self) -> None:
        """Show the empty job, then begin it: what is heavy to load comes after the first paint."""
        when_told({"SIGTERM": self._hung_up, "SIGHUP": self._hung_up})
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        self.job.session = self._make_session(self.job.listener)
        self.run_worker(self.job.session.run(), name="job", exit_on_error=False)
        self.run_worker(load, name="solver", thread=True, exit_on_error=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """The session has ended: leave with its exit code, or say why it broke off."""
        if event.worker.name != "job" or event.state not in (WorkerState.SUCCESS, WorkerState.ERROR):
            return
        self._ended = True
        if event.state is WorkerState.SUCCESS:
            self._outcome = cast("Outcome", event.worker.result)
        if self._leaving is not None:
            self.exit(self._leaving)
        elif self._outcome is not None:
            self.exit(exits.code_of(self._outcome))
        elif isinstance(self.screen, StoppedScreen):
            self.screen.now_ended()
        else:
            self._show_fault(Faulted(type(event.worker.error).__name__, str(event.worker.error)))

    def on_told(self, message: Told) -> None:
        """A fault is laid over whatever is shown until the job goes on; a stop tells how far it has got."""
        event = message.event
        if isinstance(event, Faulted):
            self._show_fault(event)
        elif isinstance(event, StateChanged) and event.before == "faulted" and event.after != "stopped":
            self._fault_is_over()
        elif isinstance(event, StatusChanged) and isinstance(self.screen, StoppedScreen):
            self.screen.told(event.status.stopped)

    def _fault_is_over(self) -> None:
        while any(isinstance(each, FaultScreen) for each in self.screen_stack):
            self.pop_screen()

    def _show_fault(self, fault: Faulted) -> None:
        self.push_screen(
            FaultScreen(fault, can_retry=not self._ended, marks=self.marks, actions=self.actions)
        )

    def action_stop_job(self) -> None:
        """Stop the machine at once, from any screen."""
        self._stop()
        stopped = self.job.state.status.stopped
        self.push_screen(StoppedScreen(self.marks, self.actions, stopped=stopped, resumes=self.resumes))

    def _stop(self, *, hang_up: bool = False) -> None:
        session = self.job.session
        if session is not None and not self._ended:
            (session.hang_up if hang_up else session.stop)()

    def _hung_up(self) -> None:
        """The terminal is gone or the program is told to end: nozzle lifted, heaters off, then leave."""
        self._leave_with(exits.STOPPED, hang_up=True)

    def _leave_with(self, code: int, *, hang_up: bool = False) -> None:
        self._leaving = code
        self._stop(hang_up=hang_up)
        if self._ended or self.job.session is None:
            self.exit(code)

    def told_to_stop(self) -> None:
        """From outside: stop the machine, then leave."""
        self._leave_with(exits.STOPPED)

    def action_interrupt(self) -> None:
        """Stop a running job; once it has ended, leave."""
        if self.place in ("stopped", "fault", "result"):
            self.action_leave()
        else:
            self.action_stop_job()

    def action_leave(self) -> None:
        """Leave once the machine is safe."""
        self._leave_with(exits.MACHINE_FAULT if self.place == "fault" else exits.STOPPED)

    def action_take_back(self) -> None:
        """Take the last answer back."""
        self.job.ask(lambda session: session.back())

    def action_pause(self) -> None:
        """Hold the job."""
        self.job.ask(lambda session: session.pause())

    def action_go_on(self) -> None:
        """End the pause."""
        self.job.ask(lambda session: session.go_on())

    def action_retry(self) -> None:
        """Close the fault and try again at the same step."""
        if isinstance(self.screen, FaultScreen) and not self._ended:
            self.pop_screen()
            self.job.ask(lambda session: session.retry())

    def action_keep_log(self) -> None:
        """Write the lines of the log to a file; where the terminal has a clipboard, hand them over, too."""
        from datetime import datetime

        from wizard.journal.line_log import for_clipboard, keep
        from wizard.screens.log import LogScreen

        if not isinstance(self.screen, LogScreen):
            return
        lines = [harmless(line) for line in self.screen.found]
        try:
            path = keep(lines, datetime.now())
        except OSError as why:
            self.screen.say(f"The log could not be written: {why.strerror or why}.")
            return
        self.screen.say(f"{len(lines)} lines are kept in {path}")
        if not self.marks.plain:  # a terminal without UTF-8 might show the code instead of taking it
            self.copy_to_clipboard(for_clipboard(lines))

    def action_log(self) -> None:
        """Lay the line log over what is shown."""
        from wizard.screens.log import LogScreen

        self.push_screen(LogScreen(self.job.state.lines, self.marks, self.actions))
