"""The verbs of the command line by topic: options in, JSON or a readable text out.

A verb is a function that takes what was typed behind its name and returns the exit code. What it raises with a sentence
(UsageError, CraftError, LogbookError) is told by ``cli``, which has the table of verbs; ``logbook`` has one of its own.
"""
