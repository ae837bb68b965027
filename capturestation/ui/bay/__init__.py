"""The Bay: the place of the window that is looked at while balls are struck."""
