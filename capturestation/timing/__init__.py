"""When: strikes in sound, the ball leaving the picture, a recording's place on the swing clock."""
