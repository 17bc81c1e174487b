"""One database of the workshop: open, atomic, migrate, back up; rows to values and back."""
