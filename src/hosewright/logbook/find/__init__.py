"""Finding what was cranked: sessions by words, needles that fault, yarns, tubes, verdicts."""
