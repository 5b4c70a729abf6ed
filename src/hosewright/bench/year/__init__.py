"""Around the year: yarn stock and lots, promised pairs, care cards, a machine's care."""
