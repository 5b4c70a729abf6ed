"""The least a terminal program of the same kind costs, measured in the same run."""

HELLO = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("hello bench")
Hello().run()
"""

# The same durable commit as a press, and Textual's own Digits; the 200th press says so in letters.
DIGITS = """
import sqlite3, sys
from textual.app import App
from textual.widgets import Digits, Static
class Least(App):
    BINDINGS = [("space", "count")]
    number = 0
    def compose(self):
        yield Digits("   0")
        yield Static()
    def on_mount(self):
        self.db = sqlite3.connect(sys.argv[1], isolation_level=None)
        self.db.execute("PRAGMA journal_mode = WAL")
        self.db.execute("PRAGMA synchronous = FULL")
        self.db.execute("CREATE TABLE events (session, seq, at, zone, tick, kind, body, PRIMARY KEY (session, seq))")
    def action_count(self):
        self.number += 1
        self.db.execute("BEGIN IMMEDIATE")
        self.db.execute("INSERT INTO events VALUES (1, ?, 1, 1, 1, 'pressed', NULL)", (self.number,))
        self.db.execute("COMMIT")
        self.query_one(Digits).update(str(self.number).rjust(4))
        if self.number == 200:
            self.query_one(Static).update("all are counted")
Least().run()
"""

PINT = "import pint; pint.UnitRegistry(cache_folder=':auto:')"
