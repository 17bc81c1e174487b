"""Recordings from files, in blocks, at their own sample rate."""
