"""The work: use cases over the topics, and the ports they ask the edges to fill."""
