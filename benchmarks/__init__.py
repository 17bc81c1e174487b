"""Measurements: accuracy and speed, beside general-purpose libraries. Nothing here is installed."""
