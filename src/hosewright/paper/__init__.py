"""What is printed or written to a file: reports, crank sheets, care cards, size pages, plots, HTML, SVG, CSV.

Session files, which a logbook reads again, are ``logbook.travel``'s; what a screen says as well stands in ``words``.
"""
