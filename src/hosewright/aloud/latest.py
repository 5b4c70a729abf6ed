"""One process at a time, and always the latest: what still runs is ended, and what waited is forgotten."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from contextlib import suppress
from dataclasses import dataclass
from threading import Condition, Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

PAINTED_S = 0.01  # what a press is given to be painted before a process is started for it, which holds Python up 1 ms
LOOK_S = 0.05  # how often it is looked whether a process has ended
PATIENCE_S = 20.0  # ours: the longest sentence takes a quarter of that
ENDED_S = 0.2  # how long the end of a process is waited for
SILENCED_S = 1.0  # how long, by the thread alone, for what silences a service when all is over
_NO_WINDOW: int = getattr(subprocess, "CREATE_NO_WINDOW", 0)


@dataclass(frozen=True, slots=True)
class Job:
    """A command to run, or for one that is kept alive a line for it.

    ``light``: in place of no other that is not light, nor of itself.
    """

    what: tuple[str, ...]
    light: bool = False


_HUSH, _END = Job(()), Job(("",))


class Latest:
    """Runs commands in a thread. Its caller never waits: a job lies in the one place there is till the thread comes."""

    def __init__(
        self,
        called: str,
        trouble: Callable[[str], None],
        *,
        hush: Sequence[str] = (),
        patience_s: float = PATIENCE_S,
    ) -> None:
        """``called``: what sentences call the program. ``trouble`` gets one sentence at most, from the thread.

        ``hush``: a command that silences a service, which speaks for the process. It is to go on, though the first
        process started it: a process is then ended alone, without what it left behind.
        """
        self._called, self._trouble, self._patience_s = called, trouble, patience_s
        self._hush = Job(tuple(hush), light=True)
        self._told = False
        self._wake = Condition()
        self._next: Job | None = None
        self._process: subprocess.Popen[bytes] | None = None
        self._job, self._since_s = _HUSH, 0.0
        self._thread = Thread(target=self._run, name=f"hosewright-{called}", daemon=True)
        self._thread.start()

    def do(self, what: Sequence[str], *, light: bool = False) -> None:
        """Run this, in place of whatever runs or waits."""
        self._put(Job(tuple(what), light))

    def hush(self) -> None:
        """Be still at once."""
        self._put(_HUSH)

    def close(self, within_s: float = 2 * ENDED_S) -> None:
        """End what runs, and the thread."""
        self._put(_END)
        self._thread.join(within_s)

    def _put(self, job: Job) -> None:
        with self._wake:
            waits = self._next
            if waits is not _END and not (job.light and waits is not None and not waits.light):
                self._next = job
                self._wake.notify()

    def _run(self) -> None:
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._next is not None, self._look_again_s())
                waits = self._next not in (None, _END)
            if waits:
                time.sleep(PAINTED_S)
            with self._wake:
                job, self._next = self._next, None
            self._look()
            if job is _END:
                self._silence()
                if self._process is not None:
                    with suppress(subprocess.TimeoutExpired):
                        self._process.wait(SILENCED_S)
                return
            if job is not None and not self._gives_way(job):
                self._take(job)

    def _look_again_s(self) -> float | None:
        return None if self._process is None else LOOK_S

    def _gives_way(self, job: Job, /) -> bool:
        """Whether what runs is let finish rather than ended for this."""
        return job.light and self._process is not None and (not self._job.light or self._job == job)

    def _take(self, job: Job) -> None:
        if job is _HUSH:
            self._silence()
        else:
            self._end()
            self._start(job)

    def _silence(self) -> None:
        spoke = self._process is not None
        self._end()
        if spoke and self._hush.what:
            self._start(self._hush)

    def _look(self) -> None:
        """Whether the process has ended with all it started, and well; one that goes on and on is ended."""
        process = self._process
        if process is None:
            return
        if (code := process.poll()) is not None and (self._hush.what or not _left_something(process.pid)):
            self._process = None
            if code:
                self._tell(f"stopped with an error ({code})")
        elif time.monotonic() - self._since_s > self._patience_s:
            self._end()
            self._tell("did not come to an end")

    def _start(self, job: Job, stdin: int = subprocess.DEVNULL, more: Mapping[str, str] | None = None) -> None:
        nowhere = subprocess.DEVNULL
        try:
            self._process = subprocess.Popen(
                job.what,
                stdin=stdin,
                stdout=nowhere,
                stderr=nowhere,
                start_new_session=True,
                creationflags=_NO_WINDOW,
                env={**os.environ, **more} if more else None,
            )
        except (OSError, ValueError) as error:
            self._tell(f"cannot be started ({getattr(error, 'strerror', None) or error})")
        self._job, self._since_s = job, time.monotonic()

    def _end(self) -> None:
        """End the process with all it has started but a service, at once: none has anything to put in order."""
        process, self._process = self._process, None
        if process is None:
            return
        with suppress(OSError):
            if os.name == "posix" and not self._hush.what:
                os.killpg(process.pid, signal.SIGKILL)  # what it left behind, too, when it has ended itself
            else:
                process.kill()
        with suppress(subprocess.TimeoutExpired):
            process.wait(ENDED_S)
        if process.stdin is not None:
            with suppress(OSError):
                process.stdin.close()

    def _tell(self, what: str) -> None:
        if not self._told:
            self._told = True
            self._trouble(f"{self._called} {what}. Counting goes on; e on the bench sets what is heard.")


def _left_something(group: int) -> bool:
    """Whether anything that a process started still runs, though it has ended: a group keeps its number so long."""
    if os.name != "posix":
        return False
    try:
        os.killpg(group, 0)
    except OSError:
        return False
    return True


class KeptAlive(Latest):
    """The same for a program that starts too slowly to be started for each sentence: each is a line to it.

    An empty line says: be still. What it speaks it cuts off itself when the next line comes, unless that begins with
    a tab, which is light, and what it speaks is not.
    """

    def __init__(
        self, called: str, command: Sequence[str], more: Mapping[str, str], trouble: Callable[[str], None]
    ) -> None:
        """``more``: what it finds in its environment beside what is there."""
        self._command, self._more = Job(tuple(command)), more
        super().__init__(called, trouble)

    def _look_again_s(self) -> float | None:
        return None

    def _gives_way(self, _job: Job, /) -> bool:
        return False  # when it has come to an end it alone knows

    def _look(self) -> None:
        process = self._process
        if process is not None and process.poll() is not None:
            self._end()
            self._tell("stopped by itself")

    def _take(self, job: Job) -> None:
        if self._process is None and job is not _HUSH:
            self._start(self._command, subprocess.PIPE, self._more)
        process = self._process
        if process is None or process.stdin is None:
            return
        try:
            line = "\t" * job.light + " ".join(job.what)
            process.stdin.write(line.encode("utf-8", "replace") + b"\n")
            process.stdin.flush()
        except OSError:
            self._end()
            self._tell("stopped by itself")

    def close(self, within_s: float = 2 * ENDED_S) -> None:
        """As before; one that no longer reads is ended first, so that nothing waits for it to read."""
        process = self._process
        self._put(_END)
        self._thread.join(within_s / 2)
        if self._thread.is_alive() and process is not None:
            process.kill()
        self._thread.join(within_s / 2)
