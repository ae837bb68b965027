"""From pictures to tracks: motion energy and where the ball lies."""
