"""The craft's arithmetic: pure functions of numbers, with no I/O, no clock and no screen."""
