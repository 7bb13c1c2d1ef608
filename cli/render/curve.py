"""The share of the preventable callback cost against minutes of hands, as a drawing."""

WIDTH, HEIGHT = 640, 400
LEFT, RIGHT, TOP, BOTTOM = 64, 16, 40, 56  # margins [px]


def svg(points: list[tuple[float, float]], must: float) -> str:
    """Return a curve as SVG, with what must be seen as a line of its own.

    Parameters
    ----------
    points : list of (float, float)
        Minutes and share, minutes rising from 0 [min], [-].
    must : float
        Minutes that what must be seen takes [min].

    Examples
    --------
    >>> svg([(0.0, 0.0), (10.0, 0.5)], 5.0)[:4]
    '<svg'
    """
    most = points[-1][0] or 1.0

    def x(minutes: float) -> float:
        return round(LEFT + (WIDTH - LEFT - RIGHT) * minutes / most, 1)

    def y(share: float) -> float:
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * share, 1)

    grid = "".join(
        f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y(s / 100)}" y2="{y(s / 100)}" stroke="#999" stroke-width=".5"/>'
        f'<text x="{LEFT - 8}" y="{y(s / 100) + 4}" text-anchor="end">{s}</text>'
        for s in range(0, 101, 20)
    )
    every = 10 if most > 30 else 5
    ticks = "".join(
        f'<text x="{x(m)}" y="{HEIGHT - BOTTOM + 20}" text-anchor="middle">{m}</text>'
        for m in range(0, int(most) + 1, every)
    )
    path = " ".join(f"{'M' if n == 0 else 'L'}{x(m)} {y(s)}" for n, (m, s) in enumerate(points))
    last = f"{100 * points[-1][1]:.0f} in 100 at {most:g} minutes"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" font-family="sans-serif" font-size="13" '
        f'aria-label="Share of the preventable callback cost against minutes of hands: {last}">'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>'
        f'<text x="{LEFT}" y="22" font-size="15">Callback cost prevented, in 100 of what the full sheet prevents</text>{grid}{ticks}'
        f'<text x="{(LEFT + WIDTH - RIGHT) / 2}" y="{HEIGHT - 12}" text-anchor="middle">minutes of hands</text>'
        f'<line x1="{x(min(must, most))}" x2="{x(min(must, most))}" y1="{TOP}" y2="{HEIGHT - BOTTOM}" stroke="#000" stroke-dasharray="4 4"/>'
        f'<text x="{x(min(must, most)) + 6}" y="{HEIGHT - BOTTOM - 8}">what must be seen: {must:g} min</text>'
        f'<path d="{path}" fill="none" stroke="#000" stroke-width="2.5"/></svg>\n'
    )
