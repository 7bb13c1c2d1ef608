"""A scene that was drawn, laid out: its words where they cover nothing, right beside wrong, as SVG; knows no kb."""
