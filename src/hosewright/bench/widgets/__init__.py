"""What several screens are made of: forms, lists, pages, questions, the key bar, large letters, the sock, the help."""
