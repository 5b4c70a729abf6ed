"""The tables that sessions are found by, kept up in the commit that stores what they tell.

``catalogue`` has a line a session for lists in any order, ``words`` its words (SQLite FTS5), ``seen`` every fault
with its needle. They can be worked out again at any time from ``sessions``, ``events`` and ``measurements``. The store
does it, not triggers: one on events costs each of them 2.5 us, whether it concerns it or not, a quarter of an import.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import sqlite3

TABLES = ("catalogue", "words", "seen")

# A session's start as JSON, and as "{}" when it cannot be read: such a one is still listed. Of one that went on in two
# places the lists tell of the one in its place; the others are set aside (``Store.add_aside``).
_STARTS = (
    "(SELECT *, CASE WHEN json_valid(record) THEN record ELSE '{}' END AS start FROM sessions WHERE status <> 'aside')"
)


def _called(what: str, kind: str, of: str = "s.start") -> str:
    """What something on the shelf goes by now (``called.py``), in SQL; null where it does as it did."""
    named = f"json_extract({of}, '$.{kind}.id')"
    return f"(SELECT {what} FROM called WHERE kind = '{kind}' AND id = {named})"


def _name(kind: str) -> str:
    return f"coalesce({_called('name', kind)}, json_extract(s.start, '$.{kind}.name'), '')"


def _id(kind: str) -> str:
    return f"coalesce({_called('now', kind)}, json_extract(s.start, '$.{kind}.id'), '')"


def _was(kind: str) -> str:
    return f"coalesce(' ' || {_called('was', kind)}, '')"


# In a string of socks each has a wearer of its own.
_CATALOGUE = f"""INSERT OR REPLACE INTO catalogue
    SELECT s.n, s.status IN ('open', 'waiting'), s.started_ms, s.changed_ms, s.title,
        {_name("yarn")}, {_name("machine")}, {_name("cylinder")},
        CASE s.kind WHEN 'string' THEN coalesce((
            SELECT group_concat(name, ', ') FROM (
                SELECT DISTINCT coalesce({_called("name", "wearer", of="sock.value")},
                    json_extract(sock.value, '$.wearer.name')) AS name
                FROM json_each(s.start, '$.socks') AS sock)
            WHERE name IS NOT NULL), '')
        ELSE {_name("wearer")} END,
        s.kind, s.status, coalesce((SELECT verdict FROM catalogue WHERE session = s.n), ''),
        {_id("yarn")}, {_id("machine")}, {_id("cylinder")}, {_id("wearer")},
        coalesce(json_extract(s.start, '$.cylinder.slots'), 0), coalesce(json_extract(s.start, '$.zone_min'), 0),
        json_extract(s.start, '$.twin_of'), coalesce((SELECT left_out FROM catalogue WHERE session = s.n), ''),
        coalesce((SELECT cranked FROM catalogue WHERE session = s.n), 1)
    FROM {_STARTS} s"""
# What something was called before is found, too.
_WORDS = f"""INSERT INTO words (rowid, session, title, yarn, machine, cylinder, wearer, kind, verdict, notes)
    SELECT -s.n, s.n, c.title, c.yarn || ' ' || coalesce(json_extract(s.start, '$.yarn.colour'), '') || ' '
            || coalesce(json_extract(s.start, '$.yarn.fibre'), '') || {_was("yarn")},
        c.machine || {_was("machine")}, c.cylinder || {_was("cylinder")}, c.wearer || {_was("wearer")},
        CASE s.kind WHEN 'search' THEN 'search stitch size' WHEN 'tube' THEN 'gauge tube'
            WHEN 'string' THEN 'string of socks' WHEN 'ribber' THEN 'ribber set up'
            ELSE CASE WHEN c.twin_of IS NULL THEN 'sock' ELSE 'twin sock' END END,
        c.verdict,
        coalesce(json_extract(s.start, '$.yarn.note'), '') || ' '
            || coalesce(json_extract(s.start, '$.wearer.note'), '')
            || coalesce(' dye lot ' || nullif(json_extract(s.start, '$.dye_lot'), ''), '')
    FROM {_STARTS} s JOIN catalogue c ON c.session = s.n"""
# The last choice that stands for each field, in words: "round right, length too long". In a string of socks the fields
# of the third begin with "s3-". The engine says the same of a session it has folded (``results.verdict_words``).
_VERDICTS = """UPDATE catalogue SET verdict = coalesce((
    SELECT group_concat(word, ', ') FROM (
        SELECT CASE WHEN id GLOB 's[0-9]*-*' THEN 'sock ' || substr(id, 2, instr(id, '-') - 2) || ' ' ELSE '' END
            || CASE WHEN id = 'fit' OR id GLOB 's[0-9]*-fit' THEN 'round '
                WHEN id = 'fit-length' OR id GLOB 's[0-9]*-fit-length' THEN 'length ' ELSE '' END
            || (SELECT CASE WHEN m.value BETWEEN 0 AND 99
                    THEN json_extract(choices, '$[' || CAST(m.value AS INTEGER) || ']') END
                FROM measurements m
                WHERE m.session = catalogue.session AND m.field = id AND NOT EXISTS (
                    SELECT 1 FROM events x WHERE x.session = m.session AND x.kind = 'struck'
                    AND CASE WHEN json_valid(x.body) THEN json_extract(x.body, '$.seq') END = m.seq)
                ORDER BY m.seq DESC LIMIT 1) AS word
        FROM (
            SELECT json_extract(field.value, '$.id') AS id, json_extract(field.value, '$.choices') AS choices
            FROM sessions own,
                json_each(CASE WHEN json_valid(own.record) THEN own.record ELSE '{}' END, '$.steps') AS step,
                json_each(step.value, '$.fields') AS field
            WHERE own.n = catalogue.session AND json_extract(field.value, '$.quantity') = 'choice'))
    WHERE word IS NOT NULL), '')"""

# What follows a new session, whose number is :session.
BEGINS = (f"{_CATALOGUE} WHERE s.n = :session", f"{_WORDS} WHERE s.n = :session")

# What follows when the start of session :session turns out otherwise. Its verdict stays, and whether it is left out.
TURNS_OUT = (BEGINS[0], "DELETE FROM words WHERE rowid = -:session", BEGINS[1])

_NOTED = """INSERT INTO words (session, notes) VALUES (
    :session, coalesce(json_extract(:body, '$.note'), json_extract(:body, '$.reason'), ''))"""
# What follows an event with a body, by its kind. An observation put right may turn out another fault, or lose its
# needle (0: it is not known); the newest word holds.
FOLLOWS: dict[str, tuple[str, ...]] = {
    "observed": (
        _NOTED,
        """INSERT OR IGNORE INTO seen VALUES (:session, :seq, coalesce(json_extract(:body, '$.fault'), 'note'),
            json_extract(:body, '$.needle'), :at_ms, 0)""",
    ),
    "amended": (
        _NOTED,
        """UPDATE seen SET fault = coalesce(json_extract(:body, '$.fault'), fault),
            needle = nullif(coalesce(json_extract(:body, '$.needle'), needle), 0)
            WHERE session = :session AND seq = CASE WHEN json_valid(:body) THEN json_extract(:body, '$.seq') END""",
    ),
    "struck": ("UPDATE seen SET struck = 1 WHERE session = :session AND seq = json_extract(:body, '$.seq')",),
    "reread": (
        """UPDATE measurements SET value = json_extract(:body, '$.value'),
            typed = coalesce(json_extract(:body, '$.typed'), '')
            WHERE session = :session AND seq = CASE WHEN json_valid(:body) THEN json_extract(:body, '$.seq') END""",
    ),
    **dict.fromkeys(("left-out", "abandoned", "recounted", "rehung", "voided", "dial-moved", "spoilt"), (_NOTED,)),
}


def follow(db: sqlite3.Connection, n: int, seq: int, at_ms: int, kind: str, body: str) -> None:
    """Let the lists tell of event ``seq`` of session ``n``."""
    for statement in FOLLOWS.get(kind, ()):
        db.execute(statement, {"session": n, "seq": seq, "at_ms": at_ms, "body": body})


def fill_lists(db: sqlite3.Connection) -> None:
    """Fill the lists anew with every session there is, with what was undone, too (``put_lists_right`` takes it out)."""
    for table in TABLES:
        db.execute(f"DELETE FROM {table}")
    for statement in (_CATALOGUE, _VERDICTS, _WORDS):
        db.execute(statement)
    asked = f"""SELECT session, seq, at_ms, kind, body FROM events
        WHERE kind IN ({", ".join("?" * len(FOLLOWS))}) AND json_valid(body)
            AND session IN (SELECT session FROM catalogue) ORDER BY session, seq"""
    for row in db.execute(asked, tuple(FOLLOWS)).fetchall():
        follow(db, *row)
