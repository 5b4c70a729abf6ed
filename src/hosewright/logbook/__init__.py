"""One knitter's logbook.

``book`` opens it, ``live`` stores an event before it is shown, ``glance`` reads what home shows. The
rooms below hold the file, the records, finding, accounts, travelling and classes. No screen.
"""
