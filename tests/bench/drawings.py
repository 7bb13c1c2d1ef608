"""Every drawing as a PNG, at a phone's width and twice that, by day and by night; and sheets of many side by side.

`python -m tests.bench.drawings OUT [NAME ...]` draws the states and marks of scenes, `--kb` those that the kb shows. Titles and descriptions are
left out: whoever is shown them sees lines and labels alone. `--blind 40 --seed 7` writes so many of the kb's as p01.png and on, and beside
OUT, in OUT-key, what each of them shows.
"""

import argparse
import os
import random
import shutil
from collections import Counter
from pathlib import Path

from dryfloor.engine.pictures.letters import width
from dryfloor.engine.pictures.picture import laid_out
from dryfloor.engine.pictures.scenes.catalog import SCENES
from tests.support.ink import words_on

PER_SHEET = 20


def of_scenes(names):
    """Yield a name and the arguments of a picture for each state and each mark of the scenes."""
    for scene, record in SCENES.items():
        if names and scene not in names:
            continue
        for state in record.states:
            yield f"{scene}.{state}", {"scene": scene, "state": state, "marks": []}
        for mark in record.marks:
            yield f"{scene}+{mark}", {"scene": scene, "marks": [mark]}


def of_kb():
    """Yield a name and the arguments of a picture for each picture that the shipped kb shows, with its limits."""
    from dryfloor.engine.advising.illustrations import everything, figures_of, record_of
    from dryfloor.engine.knowledge.load import load_kb

    kb, seen = load_kb(), set()
    for name, shown in everything(kb).items():
        record = record_of(kb, name)
        kind = {"scene": record.scene, "marks": record.marks, "state": record.state or ""}
        figures = figures_of(kb, shown, record)
        drawn = (record.scene, *record.marks, record.state, record.right, record.wrong, *sorted(figures.items()))
        if drawn in seen:
            continue
        seen.add(drawn)
        yield (
            name,
            {
                **kind,
                "right": record.right or "",
                "wrong": record.wrong or "",
                "figures": figures,
            },
        )


def chosen(made, count, seed):
    """Return so many of the drawings by a seed: of as many scenes as can be, and of one scene those that differ most in what they mark."""
    dice = random.Random(seed)
    left = [*made]
    dice.shuffle(left)
    out, times = [], Counter()
    while left and len(out) < count:
        name, kind = min(left, key=lambda m: times[m[1]["scene"]])  # the first of those whose scene was shown least
        times[kind["scene"]] += 1
        out.append((name, kind))
        left.remove((name, kind))
    dice.shuffle(out)
    return out


def blind(out, key, count, seed):
    """Write drawings without their text, numbered, into one folder, and what they show into another.

    Whoever is shown the first folder has not seen the second, nor the kb. They are asked, of each: What is shown? Where is it measured from, and
    to? What is wrong in the second, or what is to be looked at?
    """
    rows = chosen([*of_kb()], count, seed)
    made = [(f"p{n:02d}", laid_out(**kind, alone=False, told=False)) for n, (_, kind) in enumerate(rows, 1)]
    shoot(made, out, 640, sheets=False)
    key.mkdir(parents=True, exist_ok=True)
    lines = [f"seed {seed}, {len(rows)} drawings"]
    for (number, picture), (name, _) in zip(made, rows, strict=True):
        lines += [
            "",
            f"{number}  {name}",
            f"   {picture.told}",
            f"   its words: {' / '.join(t for t, _ in picture.texts)}",
        ]
    (key / "key.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")


def page(made, wide, dark):
    """Return one page with drawings below one another at a width [px]."""
    from dryfloor.engine.pictures.picture import CLASSES, SHEET

    sheet = SHEET.replace("(prefers-color-scheme:dark)", "all") if dark else SHEET.partition("@media")[0]
    cells = "".join(
        f'<div id="p{k}" style="width:{wide}px;margin:6px"><p>{n}</p>{m.svg}</div>' for k, (n, m) in enumerate(made)
    )
    back = "#16181b;color:#ddd" if dark else "#ddd"
    return (
        f"<style>{sheet}{CLASSES}body{{background:{back};margin:0}}p{{font:11px sans-serif;margin:2px}}svg{{display:block;width:100%}}"
        f".all{{display:flex;flex-wrap:wrap;align-items:flex-start}}</style><div class='all'>{cells}</div>"
    )


def shoot(made, out, wide=320, dark=False, sheets=True):
    """Write PNGs: sheets of many, or one file each."""
    from playwright.sync_api import sync_playwright

    path = os.environ.get("DRYFLOOR_CHROMIUM") or shutil.which("chromium")
    out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, headless=True, args=["--no-sandbox", "--disable-gpu"])
        tab = browser.new_page(viewport={"width": 4 * (wide + 12), "height": 900})
        if sheets:
            for k in range(0, len(made), PER_SHEET):
                tab.set_content(page(made[k : k + PER_SHEET], wide, dark))
                tab.screenshot(
                    path=str(out / f"sheet-{k // PER_SHEET:02d}{'-dark' if dark else ''}.png"), full_page=True
                )
        else:
            tab.set_content(page(made, wide, dark))
            for k, (name, _) in enumerate(made):
                tab.locator(f"#p{k} svg").screenshot(path=str(out / f"{name}.png"))
        browser.close()


def main():
    """Draw what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--wide", type=int, default=320)
    parser.add_argument("--dark", action="store_true")
    parser.add_argument("--single", action="store_true")
    parser.add_argument("--kb", action="store_true")
    parser.add_argument(
        "--blind",
        type=int,
        metavar="N",
        help="so many of the kb's, numbered, without a name; the key in another folder",
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--key", type=Path, help="folder of the key; beside OUT unless said")
    args = parser.parse_args()
    if args.blind:
        key = args.key or args.out.with_name(f"{args.out.name}-key")
        blind(args.out, key, args.blind, args.seed)
        print(f"{args.blind} drawings in {args.out}, what they show in {key}")
        return
    made = [
        (name, laid_out(**kind, alone=False, told=False))
        for name, kind in (of_kb() if args.kb else of_scenes(args.names))
    ]
    shoot(made, args.out, args.wide, args.dark, not args.single)
    print(f"{len(made)} drawings in {args.out}")
    touching = {name: words for name, picture in made if (words := words_on(picture.svg, width))}
    print(
        "\n".join(f"   {name}: {' / '.join(words)} touches a line" for name, words in touching.items())
        or "   no word touches a line"
    )


if __name__ == "__main__":
    main()
