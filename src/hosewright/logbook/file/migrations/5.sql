-- Where each session stands, for the home screen, in the place of a copy of that screen as it was left.

DROP TABLE IF EXISTS glance;

CREATE TABLE standing (
    session INTEGER PRIMARY KEY REFERENCES sessions (n), made_by TEXT NOT NULL, seq INTEGER NOT NULL,
    place TEXT NOT NULL, hands TEXT NOT NULL, since_ms INTEGER NOT NULL, paused INTEGER NOT NULL,
    found TEXT NOT NULL);
