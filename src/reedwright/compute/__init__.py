"""Work spread over the processors."""
