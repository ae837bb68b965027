"""The only painter: labels, strips and fields on pictures, so that screen and clip look alike."""
