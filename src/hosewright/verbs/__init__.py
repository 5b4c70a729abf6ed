"""The verbs of the command line, one module each: options in, JSON or a readable text out."""
