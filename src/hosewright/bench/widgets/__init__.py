"""What several screens are made of: forms, lists, pages, questions, the key bar, large letters, the help window.

Nothing here knows what it shows: fields and columns come from the screen that stands on it.
"""
