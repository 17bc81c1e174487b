"""Data files, shipped or the user's own, turned into checked values."""
