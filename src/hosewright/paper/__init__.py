"""What is printed or written to a file: reports, crank sheets, care cards, size pages, plots, HTML, SVG, CSV."""
