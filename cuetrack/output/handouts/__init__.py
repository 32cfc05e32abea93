"""What people are handed: sheets, pages, pictures."""
