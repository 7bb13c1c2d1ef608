"""What pictures show: strokes, parts with their measures, and the scenes that are built of them, in mm, y upward."""
