"""Stand-alone camera geometry: arrays in, frozen results out."""
