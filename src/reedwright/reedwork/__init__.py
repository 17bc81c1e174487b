"""From reading and target to where, and how much, metal comes off a tongue."""
