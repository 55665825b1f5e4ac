"""Files of results to readings."""
