"""The session engine: steps as data, events that are only ever added, and the state they fold into."""
