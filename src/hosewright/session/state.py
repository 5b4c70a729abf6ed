"""Where a session stands. Only ``fold`` changes it."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from hosewright.session.search import Search, search_before, search_through
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure, Wait, sock_of

if TYPE_CHECKING:
    from hosewright.session.events import Event, Fault, LeftOut, Restated, Verdict
    from hosewright.session.steps import Head, Step

Status = Literal["open", "waiting", "finished", "abandoned"]


@dataclass(frozen=True, slots=True)
class Trial:
    """One look at the stitches: ``rows`` cranked at ``clicks``, and what they did. ``void``: counts no more."""

    clicks: int
    verdict: Verdict
    rows: int
    void: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement of a field, in mm, g, or the number of the choice."""

    seq: int
    field: str
    value: float
    typed: str
    struck: bool = False


@dataclass(frozen=True, slots=True)
class Observation:
    """An observation with its place filled in: the step it was made in, the row or pass, and the dial.

    ``lot``: the one that the ball joined on there is of.
    """

    seq: int
    fault: Fault
    needle: int | None
    note: str
    step: int
    count: int
    dial: int
    at_ms: int
    struck: bool = False
    lot: str = ""


@dataclass(frozen=True, slots=True)
class Spoil:
    """A sock of a string that was spoilt at ``count`` of step ``index``; ``counts`` are those of all its steps.

    ``presses`` were counted in the session so far: while no more are, it can be struck out.
    """

    seq: int
    sock: int
    reason: str
    again: bool
    index: int
    counts: tuple[int, ...]
    presses: int
    at_ms: int


Stretched = Literal["counts", "trials", "readings", "observations", "spoils"]


class Edit(NamedTuple):
    """A stretch of one of the lists of a state, from ``start`` to before ``stop``, and what stood there before."""

    of: Stretched
    start: int
    stop: int
    items: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Deed:
    """A thing done, and how all it changed was before. ``opens``: it belongs to the deed that follows it."""

    event: Event
    values: tuple[Any, ...]
    edits: tuple[Edit, ...]
    opens: bool = False


@dataclass(slots=True)
class State:
    """Where a session stands. ``index`` is the present step, ``len(head.steps)`` once all are done.

    An event only adds to the end of ``trials``, ``readings``, ``observations`` and ``spoils``, or puts a new list in
    their place: that is how ``undoing`` sees what it changed.
    """

    head: Head
    index: int = 0
    counts: list[int] = field(default_factory=list)
    dial: int = 0
    search_from: int = 0  # where the present search started
    trials: list[Trial] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    observations: list[Observation] = field(default_factory=list)
    spoils: list[Spoil] = field(default_factory=list)
    doubted: int = 0  # presses of the last run that came too fast, not counted
    doubting: bool = False  # whether that run still goes on
    paused: bool = False
    abandoned: bool = False
    slots: int = 0  # of the cylinder, as far as is known by now
    restated: tuple[Restated, ...] = ()  # what was put right of the start, the last word on each thing
    out: LeftOut | None = None  # why it is left out of gauges, pace and statistics
    evening: int = field(default=0, compare=False)  # the step at which the present evening's work began
    since_ms: int = 0
    last_ms: int = 0
    last_seq: int = 0
    presses: int = 0
    ignored: int = 0
    done: list[Deed | int] = field(default_factory=list)  # what can be undone; a number is so many plain presses
    run: int = 0  # plain presses since the last of ``done``
    undone: list[tuple[Deed, ...]] = field(default_factory=list)  # what can be done again, the next of it last

    def __post_init__(self) -> None:
        if not self.counts:
            self.counts = [0] * len(self.head.steps)
            self.dial = self.head.dial
            self.search_from = self.head.dial
            self.slots = self.head.slots

    @property
    def step(self) -> Step | None:
        return self.head.steps[self.index] if self.index < len(self.head.steps) else None

    @property
    def over(self) -> bool:
        """Whether it is finished or given up: what happens then puts something right, and is no time at the crank."""
        return self.abandoned or self.step is None

    @property
    def sock(self) -> int:
        """Which sock of a string the present step belongs to, from 1; 0 for none."""
        return sock_of(self.step.id) if self.step is not None else 0

    @property
    def count(self) -> int:
        """Rows or passes counted in the present step (0 when finished)."""
        return self.counts[self.index] if self.index < len(self.counts) else 0

    @property
    def target(self) -> int | None:
        step = self.step
        return step.target if isinstance(step, CountRows | CountPasses) else None

    @property
    def unit(self) -> str:
        """What the present step counts: "row" or "pass"."""
        return "pass" if isinstance(self.step, CountPasses) else "row"

    @property
    def ahead(self) -> tuple[int, int]:
        """Rows and passes still to crank in the whole session."""
        rows = passes = 0
        for at, (step, count) in list(enumerate(zip(self.head.steps, self.counts, strict=True)))[self.index :]:
            if self.spoils and self.left_out(at):
                continue
            if isinstance(step, CountRows):
                rows += max(0, step.target - count)
            elif isinstance(step, CountPasses):
                passes += max(0, step.target - count)
        return rows, passes

    @property
    def status(self) -> Status:
        """One word for lists."""
        if self.abandoned:
            return "abandoned"
        step = self.step
        if step is None:
            return "finished"
        return "waiting" if isinstance(step, Wait) else "open"

    @property
    def search(self) -> Search:
        """Where the search for the stitch size stands, by the trials that are not void."""
        looks = [(trial.clicks, trial.verdict) for trial in self.trials if not trial.void]
        rule = next((step.rule for step in self.head.steps if isinstance(step, DialTrial)), 1)
        through = search_before if rule == 1 else search_through
        search = through(looks, self.search_from, self.head.clicks_per_turn)
        if not looks and self.trials:  # begun again: what was seen last hangs on the needles still
            return replace(search, seen=self.trials[-1].verdict)
        return search

    @property
    def baseline(self) -> int | None:
        """The stitch size found by the search, in clicks below zero."""
        return self.search.baseline

    def copy(self) -> State:
        own: dict[str, Any] = {one.name: getattr(self, one.name) for one in fields(self)}
        lists: dict[str, Any] = {name: list(found) for name, found in own.items() if isinstance(found, list)}
        return replace(self, **lists)

    def span_of(self, sock: int) -> tuple[int, ...]:
        """The steps a sock of a string is cranked in: from its separator rows to its toe, and a heel opened later."""
        steps = enumerate(self.head.steps)
        return tuple(at for at, step in steps if sock_of(step.id) == sock and not isinstance(step, Measure))

    def left_out(self, index: int) -> bool:
        """Whether the step at ``index`` belongs to a sock that was spoilt and is not cranked again."""
        sock = sock_of(self.head.steps[index].id)
        last = next((spoil for spoil in reversed(self.spoils) if spoil.sock == sock), None)
        return last is not None and not last.again

    def index_of(self, step_id: str) -> int | None:
        """The place of the step named ``step_id``."""
        return next((at for at, step in enumerate(self.head.steps) if step.id == step_id), None)

    def seen(self, seq: int) -> Observation | None:
        """The observation stored as event ``seq``."""
        return next((one for one in self.observations if one.seq == seq), None)

    def read(self, seq: int) -> Reading | None:
        """The reading stored as event ``seq``."""
        return next((one for one in self.readings if one.seq == seq), None)

    def count_of(self, step_id: str) -> int:
        """Rows or passes counted in the step named ``step_id`` (0 when there is none)."""
        return sum(n for step, n in zip(self.head.steps, self.counts, strict=True) if step.id == step_id)

    def values(self, field_id: str) -> list[float]:
        """The readings of a field that stand, first to last."""
        return [r.value for r in self.readings if r.field == field_id and not r.struck]
