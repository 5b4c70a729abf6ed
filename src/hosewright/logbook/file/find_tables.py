"""The tables sessions are found by, worked out in the commit that stores what they tell: by triggers, or by the store.

``catalogue`` has a line a session for lists in any order, ``words`` its words (SQLite FTS5), ``seen`` every fault
with its needle. They can be worked out again at any time from ``sessions``, ``events`` and ``measurements``.
"""

from __future__ import annotations

_ON_TOP = "status IN ('open', 'waiting')"
ORDERED_BY = ("began", "changed", "title", "yarn", "machine", "cylinder", "wearer", "kind", "status", "verdict")


def _said(column: str, path: str) -> str:
    """What JSON says at a path; NULL, and no error, when it is no JSON."""
    return f"CASE WHEN json_valid({column}) THEN json_extract({column}, '$.{path}') END"


def _word(path: str) -> str:
    return f"coalesce({_said('s.record', path)}, '')"


_OF_WHAT = """CASE json_extract(field.value, '$.id') WHEN 'fit' THEN 'round ' WHEN 'fit-length' THEN 'length '
                ELSE '' END"""


def _verdict(session: str, of_what: str = _OF_WHAT) -> str:
    """The last choice that stands for each field of the session, in words: "round right, length too long"."""
    value = "CAST(m.value AS INTEGER)"
    return f"""coalesce((SELECT group_concat(word, ', ') FROM (
        SELECT {of_what} || (
            SELECT CASE WHEN m.value BETWEEN 0 AND 99
                THEN json_extract(field.value, '$.choices[' || {value} || ']') END
            FROM measurements m
            WHERE m.session = own.n AND m.field = json_extract(field.value, '$.id') AND NOT EXISTS (
                SELECT 1 FROM events x WHERE x.session = own.n AND x.kind = 'struck'
                AND {_said("x.body", "seq")} = m.seq)
            ORDER BY m.seq DESC LIMIT 1) AS word
        FROM sessions own,
            json_each(CASE WHEN json_valid(own.record) THEN own.record ELSE '{{}}' END, '$.steps') AS step,
            json_each(step.value, '$.fields') AS field
        WHERE own.n = {session} AND json_extract(field.value, '$.quantity') = 'choice')
        WHERE word IS NOT NULL), '')"""


_KIND_WORDS = """CASE s.kind WHEN 'search' THEN 'search stitch size' WHEN 'tube' THEN 'gauge tube'
    ELSE CASE WHEN {twin} IS NULL THEN 'sock' ELSE 'twin sock' END END""".format(twin=_said("s.record", "twin_of"))
_CATALOGUE = f"""INSERT INTO catalogue
    SELECT s.n, s.{_ON_TOP}, s.started_ms, s.changed_ms, s.title, {_word("yarn.name")}, {_word("machine.name")},
        {_word("cylinder.name")}, {_word("wearer.name")}, s.kind, s.status, {_verdict("s.n")},
        {_word("yarn.id")}, {_word("machine.id")}, {_word("cylinder.id")}, {_word("wearer.id")},
        coalesce({_said("s.record", "cylinder.slots")}, 0), coalesce({_said("s.record", "zone_min")}, 0),
        {_said("s.record", "twin_of")}
    FROM sessions s"""
_TOLD = f"coalesce({_said('{row}.body', 'note')}, {_said('{row}.body', 'reason')}, '')"
_NOTED_KINDS = ("observed", "amended", "abandoned", "recounted", "rehung", "voided", "dial-moved")
_NOTED = f"({', '.join(map(repr, _NOTED_KINDS))})"
# A row of words for what a session was started with, numbered below zero, then one for every note as it is made.
_WORDS = f"""INSERT INTO words (rowid, session, title, yarn, machine, cylinder, wearer, kind, verdict, notes)
    SELECT -s.n, s.n, s.title, {_word("yarn.name")} || ' ' || {_word("yarn.colour")} || ' ' || {_word("yarn.fibre")},
        {_word("machine.name")}, {_word("cylinder.name")}, {_word("wearer.name")}, {_KIND_WORDS}, {_verdict("s.n")},
        {_word("yarn.note")} || ' ' || {_word("wearer.note")}
    FROM sessions s"""
_NOTES = f"INSERT INTO words (session, notes) SELECT e.session, {_TOLD.format(row='e')} FROM events e"
_SEEN = f"""INSERT OR IGNORE INTO seen
    SELECT e.session, e.seq, coalesce({_said("e.body", "fault")}, 'note'), {_said("e.body", "needle")}, e.at_ms, 0
    FROM events e WHERE e.kind = 'observed'"""
_AMENDED = f"""UPDATE seen SET needle = {_said("new.body", "needle")} WHERE session = new.session
    AND seq = {_said("new.body", "seq")} AND {_said("new.body", "needle")} IS NOT NULL"""
_STRUCK = f"UPDATE seen SET struck = 1 WHERE session = new.session AND seq = {_said('new.body', 'seq')}"


def _new_verdict(session: str, of_what: str = _OF_WHAT) -> str:
    said = _verdict(session, of_what)
    return (
        f"UPDATE catalogue SET verdict = {said} WHERE session = {session};"
        f" UPDATE words SET verdict = {said} WHERE rowid = -{session};"
    )


TABLES: tuple[str, ...] = (
    """CREATE TABLE catalogue (
        session INTEGER PRIMARY KEY REFERENCES sessions (n), on_top INTEGER NOT NULL, began INTEGER NOT NULL,
        changed INTEGER NOT NULL, title TEXT NOT NULL COLLATE NOCASE, yarn TEXT NOT NULL COLLATE NOCASE,
        machine TEXT NOT NULL COLLATE NOCASE, cylinder TEXT NOT NULL COLLATE NOCASE,
        wearer TEXT NOT NULL COLLATE NOCASE, kind TEXT NOT NULL, status TEXT NOT NULL,
        verdict TEXT NOT NULL COLLATE NOCASE, yarn_id TEXT NOT NULL, machine_id TEXT NOT NULL,
        cylinder_id TEXT NOT NULL, wearer_id TEXT NOT NULL, slots INTEGER NOT NULL, zone_min INTEGER NOT NULL,
        twin_of TEXT)""",
    *(f"CREATE INDEX catalogue_by_{name} ON catalogue (on_top, {name})" for name in ORDERED_BY),
    "CREATE INDEX catalogue_of_yarn ON catalogue (yarn_id, began)",
    "CREATE INDEX catalogue_of_machine ON catalogue (machine_id, cylinder_id)",
    """CREATE VIRTUAL TABLE words USING fts5(
        session UNINDEXED, title, yarn, machine, cylinder, wearer, kind, verdict, notes,
        tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3')""",
    """CREATE TABLE seen (
        session INTEGER NOT NULL REFERENCES sessions (n), seq INTEGER NOT NULL, fault TEXT NOT NULL,
        needle INTEGER, at_ms INTEGER NOT NULL, struck INTEGER NOT NULL, PRIMARY KEY (session, seq)) WITHOUT ROWID""",
    _CATALOGUE,
    _WORDS,
    f"{_NOTES} WHERE e.kind IN {_NOTED} AND e.body IS NOT NULL",
    _SEEN,
    f"""UPDATE seen SET needle = coalesce((SELECT {_said("e.body", "needle")} FROM events e
        WHERE e.session = seen.session AND e.kind = 'amended' AND {_said("e.body", "seq")} = seen.seq
        AND {_said("e.body", "needle")} IS NOT NULL ORDER BY e.seq DESC LIMIT 1), needle)""",
    f"""UPDATE seen SET struck = 1 WHERE EXISTS (SELECT 1 FROM events e
        WHERE e.session = seen.session AND e.kind = 'struck' AND {_said("e.body", "seq")} = seen.seq)""",
    f"CREATE TRIGGER catalogue_begins AFTER INSERT ON sessions BEGIN"
    f" {_CATALOGUE} WHERE s.n = new.n; {_WORDS} WHERE s.n = new.n; END",
    f"""CREATE TRIGGER catalogue_follows AFTER UPDATE OF status, changed_ms ON sessions BEGIN
        UPDATE catalogue SET on_top = new.{_ON_TOP}, status = new.status, changed = new.changed_ms
        WHERE session = new.n; END""",
    f"CREATE TRIGGER catalogue_judged AFTER INSERT ON measurements BEGIN {_new_verdict('new.session')} END",
    f"""CREATE TRIGGER words_noted AFTER INSERT ON events WHEN new.kind IN {_NOTED} AND new.body IS NOT NULL BEGIN
        {_NOTES} WHERE e.session = new.session AND e.seq = new.seq; END""",
    f"""CREATE TRIGGER seen_observed AFTER INSERT ON events WHEN new.kind = 'observed' BEGIN
        {_SEEN} AND e.session = new.session AND e.seq = new.seq; END""",
    f"CREATE TRIGGER seen_amended AFTER INSERT ON events WHEN new.kind = 'amended' BEGIN {_AMENDED}; END",
    f"""CREATE TRIGGER seen_struck AFTER INSERT ON events WHEN new.kind = 'struck' BEGIN
        {_STRUCK}; {_new_verdict("new.session")} END""",
)


# --- since version 3 ----------------------------------------------------------------------------------------

# An observation put right may turn out another fault, or lose its needle (0: it is not known); the newest word holds.
_RIGHT = """fault = coalesce({fault}, fault), needle = nullif(coalesce({needle}, needle), 0)"""


def _newest(path: str) -> str:
    """What the newest amendment of an observation says at a path; NULL when none does."""
    said = _said("e.body", path)
    return f"""(SELECT {said} FROM events e WHERE e.session = seen.session AND e.kind = 'amended'
        AND {_said("e.body", "seq")} = seen.seq AND {said} IS NOT NULL ORDER BY e.seq DESC LIMIT 1)"""


# In a string of socks the fields of the third begin with "s3-", and each sock has a wearer of its own.
_ID = "json_extract(field.value, '$.id')"
_OF_WHICH = f"""CASE WHEN {_ID} GLOB 's[0-9]*-*' THEN 'sock ' || substr({_ID}, 2, instr({_ID}, '-') - 2) || ' ' ELSE ''
    END || CASE WHEN {_ID} = 'fit' OR {_ID} GLOB 's[0-9]*-fit' THEN 'round '
    WHEN {_ID} = 'fit-length' OR {_ID} GLOB 's[0-9]*-fit-length' THEN 'length ' ELSE '' END"""
_WEARERS = """coalesce((SELECT group_concat(name, ', ') FROM (
    SELECT DISTINCT json_extract(sock.value, '$.wearer.name') AS name FROM sessions own,
        json_each(CASE WHEN json_valid(own.record) THEN own.record ELSE '{{}}' END, '$.socks') AS sock
    WHERE own.n = {session}) WHERE name IS NOT NULL), '')"""


def _strings(session: str, where: str) -> str:
    """Write what strings are found by where they stand in a table; ``session`` is the number of one."""
    return f"wearer = {_WEARERS.format(session=session)}, verdict = {_verdict(session, _OF_WHICH)} WHERE {where}"


def _begins(words: str) -> str:
    """The trigger that works out the lists for a session that is begun; ``words`` is how its words are."""
    return f"""CREATE TRIGGER catalogue_begins AFTER INSERT ON sessions BEGIN
        {_CATALOGUE} WHERE s.n = new.n; {words} WHERE s.n = new.n;
        UPDATE catalogue SET {_strings("new.n", "session = new.n AND new.kind = 'string'")};
        UPDATE words SET kind = 'string of socks', {_strings("new.n", "rowid = -new.n AND new.kind = 'string'")};
        END"""


_SPOILT = f"{_NOTES} WHERE e.kind = 'spoilt' AND e.body IS NOT NULL"
_EVERY_STRING = "IN (SELECT n FROM sessions WHERE kind = 'string')"
FAULTS_AND_STRINGS: tuple[str, ...] = (
    f"UPDATE seen SET {_RIGHT.format(fault=_newest('fault'), needle=_newest('needle'))}",
    "DROP TRIGGER seen_amended",
    f"""CREATE TRIGGER seen_amended AFTER INSERT ON events WHEN new.kind = 'amended' BEGIN
        UPDATE seen SET {_RIGHT.format(fault=_said("new.body", "fault"), needle=_said("new.body", "needle"))}
        WHERE session = new.session AND seq = {_said("new.body", "seq")}; END""",
    "CREATE INDEX seen_by_fault ON seen (fault, session, struck)",
    f"UPDATE catalogue SET {_strings('catalogue.session', f'catalogue.session {_EVERY_STRING}')}",
    f"UPDATE words SET kind = 'string of socks', {_strings('-words.rowid', f'-words.rowid {_EVERY_STRING}')}",
    "DROP TRIGGER catalogue_begins",
    _begins(_WORDS),
    "DROP TRIGGER catalogue_judged",
    f"CREATE TRIGGER catalogue_judged AFTER INSERT ON measurements BEGIN {_new_verdict('new.session', _OF_WHICH)} END",
    "DROP TRIGGER seen_struck",
    f"""CREATE TRIGGER seen_struck AFTER INSERT ON events WHEN new.kind = 'struck' BEGIN
        {_STRUCK}; {_new_verdict("new.session", _OF_WHICH)} END""",
    _SPOILT,
    # Most events have no body, and SQLite makes a list of kinds anew for each row that is looked up in one: 1.3 us.
    "DROP TRIGGER words_noted",
    f"""CREATE TRIGGER words_noted AFTER INSERT ON events
        WHEN new.body IS NOT NULL AND (new.kind IN {_NOTED} OR new.kind = 'spoilt') BEGIN
        {_NOTES} WHERE e.session = new.session AND e.seq = new.seq; END""",
)

# --- since version 4 ----------------------------------------------------------------------------------------

# A trigger on events costs each of them 2.5 us, whether it concerns it or not: a quarter of the time an import takes.
# So the store follows up those it stores that have something to say, in the same commit.
_ON_EVENTS = ("words_noted", "seen_observed", "seen_amended", "seen_struck")
FOLLOWED_BY_THE_STORE: tuple[str, ...] = tuple(f"DROP TRIGGER {name}" for name in _ON_EVENTS)
# The dye lot a session was begun with is a word of its notes, as that of a ball joined on later is by itself.
_OF_LOT = f"CASE WHEN {_word('dye_lot')} <> '' THEN ' dye lot ' || {_word('dye_lot')} ELSE '' END"
_WORDS_AND_LOT = _WORDS.replace(_word("wearer.note"), f"{_word('wearer.note')} || {_OF_LOT}")
DYE_LOTS: tuple[str, ...] = (
    f"""UPDATE words SET notes = notes || (SELECT {_OF_LOT} FROM sessions s WHERE s.n = -words.rowid)
        WHERE rowid IN (SELECT -s.n FROM sessions s WHERE {_OF_LOT} <> '')""",
    "DROP TRIGGER catalogue_begins",
    _begins(_WORDS_AND_LOT),
)


def _once_stored(*statements: str) -> tuple[str, ...]:
    """Statements of triggers as the store runs them, with the new row's values as parameters."""
    return tuple(one.replace("new.", ":") for several in statements for one in several.split(";") if one.strip())


_NOTED_ONCE = f"{_NOTES} WHERE e.session = new.session AND e.seq = new.seq"

# What follows a stored event with a body, by its kind. Parameters: session, seq and body.
FOLLOWS: dict[str, tuple[str, ...]] = {kind: _once_stored(_NOTED_ONCE) for kind in (*_NOTED_KINDS, "spoilt")}
FOLLOWS["observed"] += _once_stored(f"{_SEEN} AND e.session = new.session AND e.seq = new.seq")
FOLLOWS["amended"] += _once_stored(
    f"""UPDATE seen SET {_RIGHT.format(fault=_said("new.body", "fault"), needle=_said("new.body", "needle"))}
    WHERE session = new.session AND seq = {_said("new.body", "seq")}"""
)
FOLLOWS["struck"] = _once_stored(_STRUCK, _new_verdict("new.session", _OF_WHICH))

_WORKED_OUT = ("INSERT", "UPDATE")
WORK_OUT: tuple[str, ...] = tuple(s for s in (*TABLES, *FAULTS_AND_STRINGS, *DYE_LOTS) if s.startswith(_WORKED_OUT))
