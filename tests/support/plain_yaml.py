"""YAML as PyYAML reads it, apart from our own reader: by its C parser where PyYAML has it, which is ten times as fast."""

import yaml

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def plain_yaml(path):
    """Return what a YAML file holds."""
    return yaml.load(path.read_text("utf-8"), LOADER)
