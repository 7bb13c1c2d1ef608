"""What the screen shows: the walk's own lines and prompt_toolkit's prompt, on a terminal kept in memory (pyte)."""

import io

import pyte
import pytest
from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output

from dryfloor.cli.store.event_log import EventLog
from dryfloor.cli.terminal.env import Env
from dryfloor.cli.terminal.prompt import PromptAsker
from dryfloor.cli.walk.loop import Walk
from dryfloor.engine.case.events import Event

WALKS = [
    Event(role="homeowner"),
    Event(heard="it hops", complaints=["walks"]),
    Event(fact="dryer-beside", is_="electric-dryer"),
    Event(cleared="gas-smell", word="none"),
]
PIPE = [
    Event(role="technician"), Event(heard="it siphons", complaints=["siphons"]), Event(fact="drain", is_="standpipe"),
    Event(check="hose-sealed", answer="loose"), Event(check="hose-depth", value="5 in"), Event(check="standpipe-height", value="31 in"),
    Event(check="drain-hose-in-hook", answer="held"), Event(check="runs-off-while-filling", answer="runs"),
]  # fmt: skip


class Glass(io.StringIO):
    """A terminal's screen: what is written goes through pyte, as a terminal would show it."""

    encoding = "utf-8"

    def __init__(self, width, height=24):
        super().__init__()
        self.screen = pyte.HistoryScreen(width, height, history=500)
        self.stream = pyte.Stream(self.screen)

    def write(self, text):
        self.stream.feed(text.replace("\r\n", "\n").replace("\n", "\r\n"))
        return len(text)

    def isatty(self):
        return True

    def fileno(self):
        raise OSError("no file")

    def lines(self):
        return [line.rstrip() for line in self.screen.display]

    def past(self):
        return ["".join(row[x].data for x in range(self.screen.columns)).rstrip() for row in self.screen.history.top]


def play(kb, events, typed, width, height=24, colour=False):
    """Hold a walk at a terminal of one size; return the glass at its last prompt, or at the walk's own end."""
    glass = Glass(width, height)
    environ = {"COLUMNS": str(width), "TERM": "xterm"} | ({} if colour else {"NO_COLOR": "1"})
    with create_pipe_input() as source:
        sink = Vt100_Output(glass, lambda: Size(rows=height, columns=width), term="xterm", enable_cpr=False)
        asker = PromptAsker(source, sink)
        shots = []
        keys = list(typed)
        asked = asker.ask

        def ask(prompt, words=()):
            source.send_text(keys.pop(0) if keys else "\x03")
            return asked(prompt, words)

        def shoot(app):
            if not app.is_done:
                shots.append((glass.lines(), glass.past()))

        asker.ask = ask
        asker.session.app.after_render += shoot
        env = Env(io.StringIO(), glass, io.StringIO(), environ)
        walk = Walk(env, asker, kb, EventLog(None))
        for event in events:
            walk.record(event)
        result = walk.run()
    lines, past = shots[-1] if result.status == "interrupted" else (glass.lines(), glass.past())
    return lines, past, result


def shown(lines):
    """The lines of a screen down to its last prompt."""
    last = max(n for n, line in enumerate(lines) if line.startswith(">"))
    return lines[: last + 1]


@pytest.mark.parametrize("width", [80, 40])
def test_a_gate(kb, width):
    lines, past, _ = play(kb, WALKS, [], width)
    screen = shown(lines)
    assert past == []
    assert screen[1] == "BEFORE ANYTHING ELSE"
    if width == 80:
        assert screen[2].startswith("   WARNING  A walking washer can crush a hand or foot and tear its hoses, its")
        assert screen[-2] == "If all is safe, type the word stopped. If not, or in doubt, type not safe."
    else:
        assert screen[2] == "WARNING: A walking washer can crush a"
        assert screen[-3:-1] == ["If all is safe, type the word stopped.", "If not, or in doubt, type not safe."]
    assert screen[-1] == ">"


@pytest.mark.parametrize("width", [80, 40])
def test_a_card_with_its_prompt_fits_the_screen(kb, width):
    lines, _, _ = play(kb, WALKS, ["stopped\r"], width)
    screen = shown(lines)
    title = next(n for n, line in enumerate(screen) if line.startswith("1  "))
    assert screen[-1] == ">"
    numbered = [line for line in screen[title:] if line.strip()[:3] in ("1  ", "2  ", "3  ", "4  ")]
    assert len(numbered) >= 3
    assert ("why now  " in "\n".join(screen)) == (width == 80)
    assert ("why now: " in "\n".join(screen)) == (width == 40)


def test_every_card_of_a_long_walk_is_whole_above_its_prompt(kb):
    """The head of each card is still on the 24 rows when its prompt waits."""
    typed = ["stopped\r"]
    for n in range(5):
        lines, _, result = play(kb, WALKS, typed, 80)
        if result.data.next.kind not in ("fact", "check"):
            break
        assert any(line.strip() and result.data.card.title in line for line in shown(lines)), (n, lines)
        typed.append("skip\r")
    assert len(typed) > 4


def test_a_reading_and_a_finding(kb):
    lines, past, _ = play(kb, PIPE, ["dry\r", *["skip\r"] * 30], 80)
    text = " ".join(" ".join([*past, *lines]).split())
    assert "FOUND Standpipe too low." in text
    assert "NEXT Book a licensed plumber or drain service." in text


@pytest.mark.parametrize("width", [80, 40])
def test_a_finding_keeps_to_the_width(kb, width):
    lines, past, _ = play(kb, PIPE, ["dry\r", *["skip\r"] * 30], width)
    whole = [*past, *lines]
    at = next(n for n, line in enumerate(whole) if line.strip().startswith("FOUND"))
    text = " ".join(whole[at:])
    assert "39 in" in text
    assert any(set(line.strip()) <= set("|-=#") and "#" in line for line in whole[at:])
    assert "Tell them:" in text


def test_a_finding_waits_for_enter_before_its_remedy_pushes_it_up(kb):
    events = [
        *WALKS, Event(cleared="walking-machine", word="stopped"), Event(fact="onset", is_="new"), Event(check="rocks-by-hand", answer="rocks"),
        Event(check="shudders-at-start-only", answer="goes-on"), Event(check="tub-knocks", answer="quiet"), Event(check="lock-nut-turns", answer="tight"),
        Event(check="paper-under-foot", answer="slides"), Event(check="restraints-left", answer="none"),
        Event(check="shoved-after-setting", answer=next(iter(kb.checks["shoved-after-setting"].answers))),
    ]  # fmt: skip
    events = [e for e in events if not e.check or e.answer in kb.checks[e.check].answers]
    for skips in range(12):
        lines, _, result = play(kb, events, ["skip\r"] * skips, 80)
        if result.data.next.kind == "remedy":
            break
    assert result.data.next.kind == "remedy"
    assert any("FOUND" in line for line in lines)
    assert any(line.startswith("Enter goes on >") for line in lines)
    assert not any(line.startswith("MEND") for line in lines)
    after, _, _ = play(kb, events, ["skip\r"] * skips + ["\r"], 80)
    assert any("1  done   2  could not be done" in line for line in after)


def test_a_menu_does_not_push_the_card_off_the_screen(kb):
    lines, _, _ = play(kb, WALKS, ["stopped\r", "s\t\t\x15\r"], 80)
    assert any(line.startswith("1  ") for line in lines)


def test_colour_is_only_paint(kb):
    plain, painted = (play(kb, WALKS, ["stopped\r"], 80, colour=c)[0] for c in (False, True))
    assert plain == painted


def test_twenty_columns_are_narrow_but_nothing_is_cut(kb):
    lines, past, _ = play(kb, WALKS, [], 20)
    text = "".join("".join([*past, *lines]).split())
    assert "WARNING:Awalkingwashercancrushahandorfootandtearitshoses" in text
    assert "typethewordstopped" in text
