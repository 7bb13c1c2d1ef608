"""What was said before a walk broke off is not lost: the complaints in it are confirmed when the case is taken up."""

import yaml


def test_a_case_that_ended_at_the_danger_in_its_words_is_asked_what_they_complain_of(run):
    """Else only what was heard first would go on, and nobody would have said yes to it."""
    said = "walks across the floor on spin and kitchen ceiling is wet"
    left = run("walk", "--role", "technician", "--say", said, typed="")
    assert "The case is kept" in " ".join(left.out.split())
    case = " ".join(left.out.split()).split("dryfloor resume ")[1].split()[0].strip(",")
    done = run("resume", case, typed="dry\n1 2\nstop\n")
    assert "I hear:" in done.out
    events = yaml.safe_load(run("export", case).out)["events"]
    assert [e["heard"] for e in events if "heard" in e] == [said]
    assert [sorted(e["complaints"]) for e in events if "complaints" in e] == [["walks", "water-on-floor"]]
    # Once it was confirmed it is not asked again.
    assert "I hear:" not in run("resume", case, typed="dry\n").out
