"""An invented instrument, recorded: data for the demonstration only."""
