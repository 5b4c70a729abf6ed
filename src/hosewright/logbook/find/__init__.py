"""Finding what was cranked: sessions by words, what a yarn did, what earlier sessions tell a new plan."""
