"""Starting a session: search, tube, sock, twin, string. Its record is made by ``planning.starting``."""
