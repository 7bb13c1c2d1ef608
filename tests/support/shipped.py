"""The shipped kb, read from its YAML once in a test process, however many tests, doctests and commands look at it.

A kb is frozen, and its network and its index of phrases are kept by the object: who shares the kb shares these too. A test that
is about reading it (two readings that give the same bytes, a cache that is damaged) names the folder, or a cache of its own, and reads.
"""

from functools import cache, wraps

from dryfloor.engine.knowledge.load import load_kb


@cache
def shipped():
    """Return the shipped kb.

    Examples
    --------
    >>> shipped() is shipped()
    True
    >>> shipped() == load_kb()
    True
    """
    return load_kb()


def once(read, *only):
    """Return a reader of kbs that gives the shipped one without reading it again.

    Parameters
    ----------
    read : callable
        `load_kb` or `load_cached`: what any other folder is read with.
    only : object
        What must follow the folder for the shipped kb to be shared; other arguments are read as ever.

    Examples
    --------
    >>> once(load_kb)() is shipped()
    True
    >>> once(load_kb)(None, "a cache of its own") is shipped()
    Traceback (most recent call last):
    TypeError: load_kb() takes from 0 to 1 positional arguments but 2 were given
    """

    @wraps(read)
    def reader(folder=None, *more):
        return shipped() if folder is None and more == only else read(folder, *more)

    return reader
