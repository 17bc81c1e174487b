"""The virtual bench: invented reeds, rooms and recordings whose truth is known exactly."""
