"""One command a module: it takes the arguments and gives a result."""
