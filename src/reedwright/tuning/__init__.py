"""From pitch standard and temperament to a target for every reed."""
