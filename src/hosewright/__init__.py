"""hosewright: a companion for knitting socks on a hand-cranked circular sock machine."""

__version__ = "0.2.0"
