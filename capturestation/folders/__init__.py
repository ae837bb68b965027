"""Durable files: partial, flush, rename, hashes, and the two JSON files of a swing folder."""
