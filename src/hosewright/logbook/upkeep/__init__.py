"""Looking a logbook over, rescuing, restoring, forgetting a wearer, errands for whoever has it open."""
