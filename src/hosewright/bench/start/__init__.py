"""Starting a session: search, tube, sock, twin, string."""
