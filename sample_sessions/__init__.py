"""An invented bay that can be rendered: golfer, scene, sound, truth."""
