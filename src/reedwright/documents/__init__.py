"""Sheets and pages at true scale, as PDF and SVG."""
