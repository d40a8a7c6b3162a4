"""What people look at: text, figures, pages."""
