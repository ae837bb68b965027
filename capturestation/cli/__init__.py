"""Commands over the station, as text or JSON."""
