"""Arrays in, arrays out, SI units: knows nothing of concertinas."""
