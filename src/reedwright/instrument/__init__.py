"""What the thing is: notes, keys, reeds, layouts, readings and findings as frozen values."""
