"""What a sweep says: text, figures, a page."""
