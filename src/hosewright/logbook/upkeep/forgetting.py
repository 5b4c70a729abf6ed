"""Removing a wearer with everything that names them. The one way anything ever leaves the logbook.

What is written in a logbook stays as it was written: triggers refuse every change and removal. Forgetting lifts those
triggers, removes what it must, and puts them back, all in one commit, so that nobody ever meets the logbook without
them and a fault on the way leaves everything as it was. Socks cranked for the wearer, and those of the notebook, their
plans and what was promised them go; tubes and searches stay, for their gauges, without the wearer, and so does a string
that holds socks of others. Their name in a note or in such a title becomes "someone". Then the file is written anew, so
that nothing is left in its unused corners, the old backups, which hold them, are removed, and so is every page and file
beside the logbook that tells of them. In the end every byte that hosewright keeps is searched for the name, and what
still has it is told.
"""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hosewright.logbook.file import backups
from hosewright.logbook.file.called import names_now, show_by_name, work_out_names
from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.logbook.file.lists import fill_lists
from hosewright.logbook.file.schema import without_guards
from hosewright.logbook.projections import put_lists_right, start_of_session
from hosewright.logbook.records.shelf import OF_NOBODYS_FEET, Wearer
from hosewright.logbook.upkeep import errands
from hosewright.phrases.names import SOMEONE, Names
from hosewright.places import config_folder

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import Store


PRINTS, SHARED = "prints", "shared"  # folders beside the logbook: pages to print, sessions to give away
# Where people write of people; the names of things stay.
_FREE_TEXT = ("note", "reason", "typed", "title", "why", "was", "value")
_FREE_NAMED = (*_FREE_TEXT, "name")  # of a promise, whose name says for whom it is


@dataclass(slots=True)
class Forgotten:
    """What goes: ids of socks, plans and promises; ``kept`` are sessions that stay without the wearer.

    ``mentions`` are places elsewhere where the name is taken out; ``named_alike`` are things on the shelf whose own
    names hold the same word, which stay. ``near`` are texts that may mean them and stay as they are, with the word that
    may; ``pages`` are files beside the logbook that go; ``left`` are those that hold the name and stay.
    """

    name: str
    socks: list[str] = field(default_factory=list)
    plans: list[str] = field(default_factory=list)
    promises: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    mentions: int = 0
    named_alike: list[str] = field(default_factory=list)
    near: list[tuple[str, str]] = field(default_factory=list)
    pages: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)


def find_wearer(book: Logbook, asked: str) -> Wearer:
    """The wearer with this id or name. Raises LogbookError for none or several."""
    wearers = book.shelf(Wearer, retired=True)
    found = [item for item in wearers if item.id == asked] or [
        item for item in wearers if item.name.casefold() == asked.casefold()
    ]
    if len(found) == 1:
        return found[0]
    known = ", ".join(f"{item.name} ({item.id})" for item in wearers) or "nobody"
    which = "Several wearers are" if found else "No wearer is"
    raise LogbookError(f"{which} called {asked[:40]!r} here; there is {known}. Type the id in brackets.")


def forget(book: Logbook, wearer_id: str, *, really: bool) -> Forgotten:
    """Remove the wearer; without ``really``, only say what would go. Raises LogbookError, with all as it was.

    Only for a logbook that no bench has open (see ``Logbook.for_counting``).
    """
    work = _Work(book.store.db, wearer_id)
    work.found.pages = [str(path) for path in _pages(book, work)]
    if not really:
        work.found.left = _left(book, work)
        return work.found
    with book.store.one_commit() as db, without_guards(db):
        work.remove()
        work.take_names_out()
        _work_lists_out_again(book.store)
    _leave_no_trace(book, work)
    return work.found


class _Work:
    """One wearer's traces, found and removed."""

    def __init__(self, db: sqlite3.Connection, wearer_id: str) -> None:
        self._db = db
        merged = [item for (kind, item), called in names_now(db).items() if (kind, called.now) == ("wearer", wearer_id)]
        self._wearers = [*merged, wearer_id]  # whoever was entered twice goes whole
        every = [json.loads(body) for _, _, body in self._shelf("wearer")]
        bodies = sorted((one for one in every if one["id"] in self._wearers), key=lambda one: one["id"] == wearer_id)
        self.names = Names(body["name"] for body in reversed(bodies))
        self.found = Forgotten(bodies[-1]["name"] if bodies else wearer_id)
        plans = {item_id: json.loads(body) for item_id, _, body in self._shelf("plan")}
        self.found.plans = sorted(item_id for item_id, plan in plans.items() if plan.get("wearer") in self._wearers)
        # The report of a tube lists the plans made from it.
        of_theirs = [plans[one] for one in self.found.plans]
        self.tubes = [
            tube for plan in of_theirs for tube in (plan.get("gauge_session"), *plan.get("gauge_sessions", ())) if tube
        ]
        self.found.promises = self._naming_them("promise")
        self._noted = self._naming_them("noted")
        self.found.socks += self._noted
        self._socks: list[int] = []
        self._kept: list[int] = []
        for n, session, kind, record in self._sessions():
            socks = [self._is_theirs(sock) for sock in record.get("socks") or ()]
            if any(socks) or self._is_theirs(record):
                goes = kind == "sock" or (kind == "string" and all(socks))
                (self._socks if goes else self._kept).append(n)
                (self.found.socks if goes else self.found.kept).append(session)
        self._gone = {"wearer": self._wearers, "same": self._wearers, "plan": self.found.plans}  # by their kinds
        self._gone |= {"promise": self.found.promises, "noted": self._noted}
        self._look_for_mentions()

    def _shelf(self, kind: str) -> list[tuple[str, int, str]]:
        return self._db.execute(
            "SELECT id, revision, body FROM shelf WHERE kind = ? ORDER BY id, revision", (kind,)
        ).fetchall()

    def _sessions(self) -> Iterator[tuple[int, str, str, dict[str, Any]]]:
        for n, session, text in self._db.execute("SELECT n, id, record FROM sessions").fetchall():
            record = json.loads(text)
            yield n, session, record["kind"], record

    def _naming_them(self, kind: str) -> list[str]:
        """The ids of what on the shelf is for the wearer, on a plan of theirs, or of what was promised them."""
        of = (("wearer", self._wearers), ("plan", self.found.plans), ("promise", self.found.promises))
        every = [(item_id, json.loads(body)) for item_id, _, body in self._shelf(kind)]
        return sorted({item_id for item_id, thing in every if any(thing.get(name) in theirs for name, theirs in of)})

    def _is_theirs(self, record: dict[str, Any]) -> bool:
        """Whether a session, or one sock of a string, is theirs."""
        plan = record.get("plan") or {}
        named = {(record.get("wearer") or {}).get("id"), plan.get("wearer")}
        return not named.isdisjoint(self._wearers) or plan.get("id") in self.found.plans

    def _look_for_mentions(self) -> None:
        gone = set(self._socks)
        for kind, item_id, body in self._db.execute("SELECT kind, id, body FROM shelf").fetchall():
            if item_id not in self._gone.get(kind, ()):
                thing = json.loads(body)
                texts = _texts_of(kind)
                self._look_at(thing, texts)
                if texts is _FREE_NAMED:
                    continue
                if self.names.found_in(thing.get("name", "")) and thing["name"] not in self.found.named_alike:
                    self.found.named_alike.append(thing["name"])
        for n, _, _, record in self._sessions():
            if n not in gone and n not in self._kept:
                self._look_at(record)
        for n, body in self._db.execute("SELECT session, body FROM events WHERE body IS NOT NULL").fetchall():
            if n not in gone:
                self._look_at(json.loads(body))

    def _look_at(self, thing: Any, texts: tuple[str, ...] = _FREE_TEXT) -> None:
        def look(text: str) -> str:
            self.found.mentions += self.names.found_in(text)
            for word in self.names.near(text):
                if (word, text) not in self.found.near:
                    self.found.near.append((word, text))
            return text

        _retold(thing, texts, look)

    def remove(self) -> None:
        """Their socks, their plans, what was promised them, and they themselves."""
        for table in ("measurements", "gauges", "standing", "catalogue", "seen", "events"):
            self._db.executemany(f"DELETE FROM {table} WHERE session = ?", [(n,) for n in self._socks])
        self._db.executemany("DELETE FROM sessions WHERE n = ?", [(n,) for n in self._socks])
        for kind, ids in self._gone.items():
            self._db.executemany("DELETE FROM shelf WHERE kind = ? AND id = ?", [(kind, one) for one in ids])
        gone = {one for ids in self._gone.values() for one in ids}
        for item_id, _, body in self._shelf("beside"):
            if json.loads(body)["of"] in gone:
                self._db.execute("DELETE FROM shelf WHERE kind = 'beside' AND id = ?", (item_id,))

    def take_names_out(self) -> None:
        """What stays no longer names them."""
        removed = set(self.found.socks)
        for n, _, _, record in self._sessions():
            told = self._start_without(record, removed, kept=n in self._kept)
            self._db.execute(
                "UPDATE sessions SET record = ?, title = CASE status WHEN 'aside' THEN title ELSE ? END WHERE n = ?",
                (_text(told), told["title"], n),
            )
        for n, begun in self._db.execute("SELECT n, begun FROM sessions WHERE begun IS NOT NULL").fetchall():
            record = json.loads(begun)
            told = self._start_without(record, removed, kept=n in self._kept or self._is_theirs(record))
            self._db.execute("UPDATE sessions SET begun = ? WHERE n = ?", (_text(told), n))
        for table, keys in (("shelf", ("kind", "id", "revision")), ("events", ("session", "seq"))):
            rows = self._db.execute(f"SELECT body, {', '.join(keys)} FROM {table} WHERE body IS NOT NULL").fetchall()
            for body, *place in rows:
                texts = _texts_of(place[0]) if table == "shelf" else _FREE_TEXT
                thing = json.loads(body)
                told = _retold(self._nobody_named(thing), texts, self.names.taken_out)
                if told != thing:
                    where = " AND ".join(f"{name} = ?" for name in keys)
                    self._db.execute(f"UPDATE {table} SET body = ? WHERE {where}", (_text(told), *place))

    def _nobody_named(self, event: dict[str, Any]) -> dict[str, Any]:
        """An event that put a wearer or a promise right, when it was them."""
        value = event.get("value")
        named = isinstance(value, dict) and value.get("id") in (*self._wearers, *self.found.promises)
        return {name: said for name, said in event.items() if name != "value"} if named else event

    def _start_without(self, record: dict[str, Any], removed: set[str], *, kept: bool) -> dict[str, Any]:
        """A session's start that no longer names them."""
        if kept:
            record["wearer"] = record["plan"] = record["promise"] = None
        for sock in record.get("socks") or ():
            if self._is_theirs(sock):
                sock.update(wearer=None, plan=_nobodys(sock["plan"]), promise=None)
        for one in (record, *(record.get("socks") or ())):
            if one.get("promise") in self.found.promises:
                one["promise"] = None
        if record.get("twin_of") in removed:
            record["twin_of"] = None
        told: dict[str, Any] = _retold(record, _FREE_TEXT, self.names.taken_out)
        return told


def _text(told: dict[str, Any]) -> str:
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def _retold(thing: Any, texts: tuple[str, ...], say: Callable[[str], str], key: str = "") -> Any:
    """``thing`` as ``say`` has what people typed freely, anywhere in it."""
    if isinstance(thing, dict):
        return {name: _retold(value, texts, say, name) for name, value in thing.items()}
    if isinstance(thing, list):
        return [_retold(value, texts, say, key) for value in thing]
    return say(thing) if isinstance(thing, str) and key in texts else thing


def _texts_of(kind: str) -> tuple[str, ...]:
    return _FREE_NAMED if kind == "promise" else _FREE_TEXT


def _nobodys(plan: dict[str, Any]) -> dict[str, Any]:
    """A plan that says what is cranked, and neither for whom nor for which foot."""
    return plan | {"id": "someones-plan", "name": SOMEONE, "wearer": None} | OF_NOBODYS_FEET


def _work_lists_out_again(store: Store) -> None:
    db = store.db
    work_out_names(db)
    fill_lists(db)
    if names_now(db):
        show_by_name(db, [n for (n,) in db.execute("SELECT session FROM catalogue").fetchall()])
    listed = "SELECT DISTINCT session FROM events WHERE kind IN ('undone', 'left-out')"
    for (n,) in db.execute(f"{listed} AND session IN (SELECT session FROM catalogue)").fetchall():
        put_lists_right(store, n, start_of_session(store, n)[1], store.entries(n))
    db.execute("DELETE FROM standing")  # the next bench works it out
    db.execute("INSERT INTO words (words) VALUES ('optimize')")  # or its old words stay until they are merged away


def _leave_no_trace(book: Logbook, work: _Work) -> None:
    try:
        for page in work.found.pages:
            Path(page).unlink(missing_ok=True)
        book.store.db.execute("PRAGMA secure_delete = ON")
        book.store.db.execute("VACUUM")
        book.store.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        for copy in backups.kept(book.path):
            copy.unlink()
        backups.daily(book.path, datetime.now().astimezone().strftime("%Y%m%d"))
        work.found.left = _left(book, work)
    except (OSError, sqlite3.Error, LogbookError) as error:
        raise LogbookError(
            f"The wearer is removed, but traces may be left in {book.path} or in {backups.folder_of(book.path)}: "
            f"{plain(error)}. Put that right, then remove the folder by hand."
        ) from error


def _pages(book: Logbook, work: _Work) -> list[Path]:
    """The files beside the logbook that tell of them: written from it, so that they can be written again.

    What was written for another and holds the name goes, too; a page is quickly printed again.
    """
    theirs = (*work.found.socks, *work.found.kept, *work.found.plans, *work.found.promises, *work.tubes)
    found = []
    for folder in (PRINTS, SHARED, errands.FOLDER):
        for path in sorted((book.path.parent / folder).glob("*")):
            named = any(one in path.name for one in theirs) or work.names.found_in(path.name)
            if path.is_file() and (named or work.names.in_bytes(path.read_bytes())):
                found.append(path)
    trouble = book.path.with_name("trouble.txt")
    if trouble.exists() and work.names.in_bytes(trouble.read_bytes()):
        found.append(trouble)
    return found


def _left(book: Logbook, work: _Work) -> list[str]:
    """Every other file in hosewright's own folders that holds the name: kept aside, rescued, copied there by hand."""
    ours = {book.path.with_name(f"{book.path.name}{end}") for end in ("", "-wal", "-shm", ".lock", ".seal")}
    ours |= {Path(page) for page in work.found.pages} | set(backups.kept(book.path))
    found = []
    for folder in dict.fromkeys((book.path.parent, config_folder())):
        for path in sorted(folder.rglob("*")):
            if path.is_file() and path not in ours and not path.is_symlink() and work.names.in_bytes(path.read_bytes()):
                found.append(str(path))
    return found
