"""Words in another language than English: recognised by their script, their commonest small words or words of a danger, and told so in that language."""

import re
import unicodedata

# So many of a text's words, and at least two, are small words of the language and not of English [-] (judgement).
SHARE, LEAST = 0.25, 2
_WORD = re.compile(r"[^\W\d_]+")
SENTENCES = {
    "es": "Por ahora solo entiendo inglés.",
    "fr": "Pour l'instant, je ne comprends que l'anglais.",
    "de": "Bisher verstehe ich nur Englisch.",
    "pt": "Por enquanto só entendo inglês.",
    "it": "Per ora capisco solo l'inglese.",
    "nl": "Voorlopig versta ik alleen Engels.",
    "pl": "Na razie rozumiem tylko angielski.",
    "vi": "Hiện tôi chỉ hiểu tiếng Anh.",
    "tl": "Ingles pa lang ang naiintindihan ko.",
    "ht": "Pou kounye a, mwen konprann angle sèlman.",
    "ru": "Пока я понимаю только английский.",
    "ar": "أفهم الإنجليزية فقط حتى الآن.",
    "hi": "अभी मैं केवल अंग्रेज़ी समझता हूँ।",
    "zh": "目前我只懂英语。",
    "ja": "今のところ英語しか分かりません。",
    "ko": "아직은 영어만 이해합니다.",
}
_SMALL = {
    "es": (
        "el la los las un una de del que y en no se por con mi su es está para cuando agua lavadora pero muy hace sale yo lo nos ha hay tiene tengo "
        "tocar toco toca desde porque como calambre corriente descarga chispas huele humo olor quemado suelo lavo fuga me dio dan le al tocarla te"
    ),
    "fr": (
        "à laver linge fuit vidange tourne le la les un une des du de et en ne pas se par avec mon ma est pour quand eau machine mais très fait il "
        "elle ça sort je tu on nous vous me ai a au aux sur dans qui que cette ce touche prends courant décharge choc odeur brûlé fumée sent sol "
        "depuis plus"
    ),
    "de": (
        "der die das ein eine und ist nicht mit mein meine von zu beim wenn wasser waschmaschine aber sehr es aus auf läuft kommt ich er sie wir mir "
        "mich dir uns ihr ihre einen einem einer den dem des im am hat habe haben wird werde bekomme kriege kein keine oder wie noch nur schon immer "
        "nach bei wo weil dann jetzt man strom schlag stromschlag kribbelt riecht rauch qualm gas boden maschine trommel schleudert schleudern pumpt "
        "hier stinkt brennt anfasse berühre fasse überall hilfe durch"
    ),
    "pt": (
        "o a os as um uma de do da que e em não se por com meu minha está para quando água máquina mas muito faz sai eu ele ela nos tem tenho ao na "
        "no nas isso toco choque corrente cheiro queimado fumaça fumo chão desde porque como vaza cheira saindo sentindo"
    ),
    "it": (
        "il lo la gli le un una di del che e non si per con mio mia è quando acqua lavatrice ma molto fa esce della io mi ci ho ha hanno al nel nella "
        "sul sulla dal dalla sono tocco scossa corrente odore bruciato fumo pavimento da perché come perde"
    ),
    "nl": (
        "de het een en is niet met mijn van te bij als water wasmachine maar heel er uit op komt loopt ik hij zij wij mij me je heb heeft aan ook nog "
        "dan wordt krijg stroom schok ruik rook brandlucht vloer geen naar om die dat deze"
    ),
    "pl": (
        "i w na nie się z do jest że to pralka woda ale bardzo jak gdy mi moja po leci mnie mam ma jestem są ten ta przy ze od pod prąd kopie razi "
        "czuję dym pachnie spalenizną podłodze wody pralki kiedy dotykam"
    ),
    "vi": "máy giặt nước không và của tôi bị khi có ra chảy rất là giật điện chạm vào mùi khói cháy sàn đang trong ngoài một",
    "tl": (
        "ang ng mga sa na ay hindi ko may tubig kapag at po lumalabas umaandar ako siya kami nang kung dahil nakukuryente kuryente usok amoy sahig "
        "ito yung"
    ),
    "ht": "mwen ak pa nan yo dlo machin lan ap soti lè li gen m nou pran chòk kouran lafimen santi atè manyen sou",
}
_ENGLISH = frozenset(
    [
        "a",
        "an",
        "and",
        "as",
        "at",
        "be",
        "do",
        "had",
        "has",
        "he",
        "her",
        "his",
        "i",
        "in",
        "is",
        "it",
        "me",
        "my",
        "no",
        "not",
        "of",
        "on",
        "or",
        "see",
        "she",
        "so",
        "the",
        "to",
        "we",
        "you",
        "die",
        "den",
        "man",
        "met",
        "will",
        "was",
        "were",
        "out",
        "water",
        "machine",
        "les",
        "par",
        "pas",
        "more",
        "also",
        "am",
        "all",
        "made",
        "fans",
    ]
)
_SCRIPTS = (("HIRAGANA", "ja"), ("KATAKANA", "ja"), ("HANGUL", "ko"), ("CJK", "zh"), ("CYRILLIC", "ru"), ("ARABIC", "ar"), ("DEVANAGARI", "hi"))  # fmt: skip


def language(text: str) -> str:
    """Return the language of a text where it is another than English and recognised; else an empty text.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> language("la lavadora no saca el agua"), language("the washer won't drain"), language("стиральная машина не сливает")
    ('es', '', 'ru')
    """
    text = text[:2000]
    for letter in text:
        if letter.isalpha() and not letter.isascii():
            name = unicodedata.name(letter, "")
            found = next((code for script, code in _SCRIPTS if name.startswith(script)), "")
            # A kanji among kana is Japanese.
            if found == "zh" and any(unicodedata.name(x, "").startswith(("HIRAGANA", "KATAKANA")) for x in text):
                return "ja"
            if found:
                return found
    words = _WORD.findall(text.lower())
    if not words:
        return ""
    counts = {code: sum(w in small for w in words) for code, small in _SETS.items()}
    best = max(counts, key=lambda code: (counts[code], code))
    return best if counts[best] >= max(LEAST, SHARE * len(words)) else ""


_SETS = {code: frozenset(text.split()) - _ENGLISH for code, text in _SMALL.items()}


def english_only(text: str) -> str:
    """Return that only English is understood so far, in the language of a text and in English; empty for English, and for what is not recognised.

    Examples
    --------
    >>> english_only("meine Waschmaschine läuft aus")
    'Bisher verstehe ich nur Englisch. English only so far.'
    """
    code = language(text)
    return f"{SENTENCES[code]} English only so far." if code else ""
