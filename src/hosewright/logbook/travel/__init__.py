"""Sessions and the shelf on their way out of a logbook and into another: files, folders of them, merge.

Copies of the whole logbook are ``logbook.file.backups``'s, pages for people ``paper``'s.
"""
