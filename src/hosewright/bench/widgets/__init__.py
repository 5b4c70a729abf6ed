"""What several screens are made of: forms and their fields, the key bar, large letters, lines, the help window."""
