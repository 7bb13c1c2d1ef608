"""Results as lines, as Markdown and as HTML; pure."""
