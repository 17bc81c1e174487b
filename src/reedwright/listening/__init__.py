"""From sound to readings: what each reed does, with its doubt."""
