"""Chemistry as arithmetic: arrays in, arrays out, nothing but numpy and scipy underneath."""
