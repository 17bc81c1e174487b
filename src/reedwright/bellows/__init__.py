"""From the wanted size of a bellows to its parts, and whether it will fold."""

__all__: list[str] = []
