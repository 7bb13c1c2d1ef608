"""Another language is recognised by its script or its small words; English never is."""

import pytest

from dryfloor.engine.language import foreign
from tests.support.places import ROOT

SAID = {
    "es": "mi lavadora no desagua y sale agua por abajo",
    "fr": "ma machine à laver fuit quand elle vidange",
    "de": "meine Waschmaschine läuft aus",
    "pt": "minha máquina não tira a água",
    "it": "la lavatrice non scarica l'acqua",
    "nl": "mijn wasmachine loopt niet leeg",
    "pl": "pralka nie wypompowuje wody",
    "vi": "máy giặt của tôi không xả nước",
    "tl": "hindi umaandar ang washing machine ko",
    "ht": "machin lan pa vide dlo",
    "ja": "洗濯機が動かない",
    "zh": "洗衣机漏水",
    "ko": "세탁기가 안 돌아요",
    "ru": "стиралка прыгает",
    "ar": "الغسالة لا تعمل",
    "hi": "मशीन नहीं चल रही",
}

SHOCKED = {  # what hurts now is told in other words than what the machine does
    "es": "me da calambre cuando toco la lavadora",
    "fr": "je prends une décharge quand je touche la machine",
    "de": "Ich bekomme einen Schlag, wenn ich die Maschine anfasse",
    "pt": "levo um choque quando toco na máquina",
    "it": "prendo la scossa quando tocco la lavatrice",
    "nl": "ik krijg een schok als ik de machine aanraak",
    "pl": "pralka kopie mnie prądem",
    "vi": "tôi bị điện giật khi chạm vào máy giặt",
    "tl": "nakukuryente ako kapag hinawakan ko ang washing machine",
    "ht": "mwen pran chòk lè mwen manyen machin nan",
    "ja": "洗濯機に触るとビリビリする",
    "zh": "洗衣机漏电",
    "ko": "세탁기 만지면 전기가 와요",
    "ru": "меня бьёт током",
    "ar": "الغسالة تكهربني",
    "hi": "मशीन से करंट लगता है",
}


def test_every_language_has_a_sentence_and_an_example():
    assert set(SAID) == set(SHOCKED) == set(foreign.SENTENCES)


@pytest.mark.parametrize("code", SAID)
def test_a_language_is_recognised(code):
    assert foreign.language(SAID[code]) == code
    assert foreign.SENTENCES[code] in foreign.english_only(SAID[code])


@pytest.mark.parametrize("code", SHOCKED)
def test_a_language_is_recognised_by_what_hurts(code):
    assert foreign.language(SHOCKED[code]) == code


def test_german_is_recognised_whatever_is_told_in_it():
    for said in (
        "mich hat der Strom erwischt",
        "es riecht verbrannt",
        "Da kommt Rauch raus!",
        "Sie wandert durch den Keller",
    ):
        assert foreign.language(said) == "de", said


def test_no_english_phrase_is_taken_for_another_language(kb):
    said = [p for c in kb.complaints.values() for p in c.hear] + [p for h in kb.hazards.values() for p in h.hear]
    said += [
        line.strip("- \"'\n")
        for f in sorted((ROOT / "tests/phrases").glob("*.yaml"))
        for line in f.open(encoding="utf-8")
    ]
    assert len(said) > 1000
    assert [(p, foreign.language(p)) for p in said if foreign.language(p)] == []
    assert foreign.language("") == foreign.language("31 in") == foreign.language("???") == ""
