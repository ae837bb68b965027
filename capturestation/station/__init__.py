"""Use cases, one for each thing a person does; all faces call these."""
