"""Syllables, against words divided by hand and against a pronouncing dictionary.

Spanish: words divided by the rules of the Real Academia Española, Ortografía de la lengua española (2010). The count
must be exact. English: words divided by hand, and the CMU Pronouncing Dictionary 0.7b (Carnegie Mellon University),
which the package `pronouncing` 0.1.5 carries. At least 97 of 100 must be right.
"""

from __future__ import annotations

import importlib.util
import re
from functools import cache
from pathlib import Path

import pytest

from earleaf.language.readability import count
from earleaf.language.sentences import THING, words
from earleaf.language.syllables import english, spanish, syllables
from earleaf.site.build import Prepared

ENGLISH_LEAST = 0.97


def listed(text: str) -> tuple[str, ...]:
    return tuple(text.split())


SPANISH = listed(
    """
    ho-ja ho-jas ta-llo pe-cio-lo pe-cí-o-lo ra-íz ra-í-ces vai-na li-gu-la lí-gu-la lim-bo bro-te ye-ma nu-do
    en-tre-nu-do co-go-llo es-pi-ga ma-zor-ca e-lo-te es-ti-lo pa-no-ja ban-de-ra flor flo-ra-ción flo-re-ci-mien-to
    fru-to nuez ma-íz so-ja tri-go al-go-dón pa-pa to-ma-te man-za-no du-raz-no ce-re-zo vid u-va no-gal ca-ca-hua-te
    a-gua-ca-te ca-ña a-zú-car re-mo-la-cha gi-ra-sol sor-go ce-ba-da a-ve-na a-rroz al-fal-fa tré-bol fri-jol
    chí-cha-ro le-chu-ga bró-co-li co-li-flor ca-la-ba-za san-dí-a me-lón pe-pi-no chi-le be-ren-je-na ce-bo-lla a-jo
    za-na-ho-ria a-pio es-pi-na-ca rá-ba-no ca-mo-te yu-ca fre-sa a-rán-da-no fram-bue-sa zar-za-mo-ra ki-wi pi-ña
    plá-ta-no gua-ya-ba pa-pa-ya ca-fé o-li-vo cí-tri-co mues-tra mues-tre-o la-bo-ra-to-rio bol-sa pa-pel plás-ti-co
    e-ti-que-ta lá-piz ho-ra dí-a ma-ña-na tar-de me-dio-dí-a ju-lio a-gos-to no-viem-bre miér-co-les sue-lo a-gua
    llu-via ro-cí-o se-quí-a rie-go hie-lo nu-trien-te ni-tró-ge-no fós-fo-ro po-ta-sio cal-cio mag-ne-sio a-zu-fre
    hie-rro zinc bo-ro co-bre man-ga-ne-so ni-tra-to fer-ti-li-zan-te pla-gui-ci-da ro-cia-do cui-da-do guí-a
    si-guien-te se-gui-do guan-te a-guan-te pin-güi-no ver-güen-za de-sa-güe an-ti-güe-dad quí-mi-co que-ma-do
    pe-que-ño quie-to prohi-bi-do bú-ho ve-hí-cu-lo va-ho al-co-hol a-ho-ra ahu-ma-do rey ley hoy muy ma-yo yo y ha-ya
    a-yu-da cre-ci-mien-to ma-du-rez hec-tá-re-a á-re-a lí-ne-a o-es-te ai-re cau-sa a-é-re-o pa-ís o-ír ca-í-da
    le-í-do o-í-do re-í-a cons-truir cons-trui-do flui-do hui-da rui-na viu-da ciu-dad cuen-te re-cién des-pués
    tam-bién pie piel tie-ne lim-pie-za lim-piáis fuer-te nue-ve sie-te buey U-ru-guay a-ve-ri-guáis guion guio-nes
    tran-ví-a te-o-rí-a po-e-ta ca-os le-er co-o-pe-rar re-ú-ne reu-nir-se
    """
)

ENGLISH = listed(
    """
    leaf leaves stalk pet-i-ole pet-i-oles blade stem shoot tip joint node col-lar whorl sheath ear tas-sel silks husk
    ker-nel bloom flow-er fruit nut roots tu-ber run-ner corn soy-bean wheat bar-ley oats rye rice sor-ghum can-o-la
    cot-ton pea-nut po-ta-to po-ta-toes to-ma-to al-fal-fa clo-ver ap-ple ap-ples cher-ry cher-ries peach peach-es
    a-pri-cot al-mond wal-nut pis-ta-chi-o ha-zel-nut grape or-ange av-o-ca-do ba-nan-a pa-pa-ya cof-fee sug-ar-cane
    sun-flow-er to-bac-co straw-ber-ry blue-ber-ries cu-cum-ber wa-ter-mel-on as-par-a-gus broc-co-li cab-bage
    cau-li-flow-er let-tuce spin-ach cel-er-y on-ion gar-lic car-rot rad-ish egg-plant pep-per squash cas-sa-va
    sam-ple sam-ples sam-pled sam-pling bag pa-per plas-tic la-bel la-bels asked picked cut-ting takes tak-en tak-ing
    marked dried dries dry-ing wash-es washed rinse rins-es mailed count-ed need-ed wait-ed plant-ed sprayed dam-aged
    mixed plac-es stag-es edg-es box-es branch-es ar-e-a be-ing go-ing do-ing see-ing sea-son weath-er dai-ly ear-ly
    ear-li-er eas-i-er safe-ty safe-ly whole some-thing some-one ev-ery-thing some-times else-where be-fore there-fore
    nu-tri-ent nu-tri-ents ni-tro-gen phos-pho-rus po-tas-si-um cal-ci-um mag-ne-si-um sul-fur i-ron zinc cop-per
    man-ga-nese ni-trate fer-til-is-er re-gion re-gions sta-tion con-di-tion na-tion-al de-ci-sion so-lu-tion mil-lion
    flu-id ru-in ru-ined qui-et pre-vi-ous va-ri-e-ty va-ri-e-ties ma-te-ri-al bac-te-ri-a pe-ri-od an-nu-al u-su-al
    u-su-al-ly man-u-al cre-ate cre-at-ed re-act i-de-a ra-di-o ra-ti-o a-cre a-cres me-tre cen-tre fi-bre ti-tle
    lit-tle mid-dle set-tled han-dle is-n't does-n't don't can't won't lab's stage's col-our mould grey field fields
    yield peo-ple sci-ence el-e-ment live-stock fore-cast en-e-my hon-est o-pen o-pened help-ful use-less move-ment
    care-ful-ly ripe-ness bus-i-ness com-pare com-pared in-side out-side near-est old-er new-est two eye eyes you your
    own once else their real-ly re-ceive friend height eight weigh through e-nough rough dough day-light
    """
)


def undivided(word: str) -> str:
    return word.replace("-", "")


@cache
def dictionary() -> dict[str, frozenset[int]]:
    """How many syllables the CMU dictionary gives a word, in each way it is spoken: one for each vowel sound."""
    package = importlib.util.find_spec("pronouncing")
    assert package is not None and package.origin is not None
    out: dict[str, frozenset[int]] = {}
    for line in (Path(package.origin).parent / "cmudict-0.7b").read_text("latin-1").splitlines():
        if not line.startswith(";;;"):
            word, sounds = line.split(None, 1)
            key = re.sub(r"\(\d\)$", "", word).lower()
            out[key] = out.get(key, frozenset()) | {sum(sound[-1].isdigit() for sound in sounds.split())}
    return out


def test_the_lists_are_long_enough() -> None:
    assert len(set(SPANISH)) >= 150 and len(set(ENGLISH)) >= 150


@pytest.mark.parametrize("divided", SPANISH)
def test_spanish_is_exact(divided: str) -> None:
    assert spanish(undivided(divided)) == divided.count("-") + 1


def test_spanish_in_capitals_is_the_same() -> None:
    assert all(spanish(undivided(w)) == spanish(undivided(w).upper()) for w in SPANISH)


def test_english_is_right_for_nearly_all() -> None:
    wrong = {w: english(undivided(w)) for w in ENGLISH if english(undivided(w)) != w.count("-") + 1}
    assert len(wrong) <= (1 - ENGLISH_LEAST) * len(ENGLISH), wrong


def test_the_division_by_hand_agrees_with_the_dictionary() -> None:
    """The hand may err as well: hardly any word of the list is spoken otherwise in the CMU dictionary."""
    known = [w for w in ENGLISH if undivided(w) in dictionary()]
    other = [w for w in known if w.count("-") + 1 not in dictionary()[undivided(w)]]
    assert len(known) > 200
    assert len(other) <= 0.01 * len(known), other


def test_english_of_this_manual_against_the_dictionary(demo: Prepared) -> None:
    """Every word of the chapters, the crops and the vocabulary that the CMU dictionary knows, each word once."""
    db = demo.db
    texts = [chapter.text for chapter in demo.chapters["en"]]
    texts += [say.say for crop in db.crops.values() for p in crop.protocols for say in (*p.see, *p.notes, *p.result)]
    texts += [text for part in db.parts.values() for text in (part.name, part.find, part.portion)]
    texts += [f"{caution.do} {caution.why or ''}" for caution in db.cautions.values()]
    shown = {w.lower() for text in texts for w in words(text) if w != THING}
    known = sorted(w for w in shown if w in dictionary() and len(w) > 1)
    wrong = {w: (english(w), sorted(dictionary()[w])) for w in known if english(w) not in dictionary()[w]}
    assert len(known) > 1000
    assert len(wrong) <= (1 - ENGLISH_LEAST) * len(known), wrong


def test_english_of_the_whole_dictionary() -> None:
    """The rules are not made for this manual alone: nine in ten of all words, names of people and places among them."""
    every = [w for w in dictionary() if w.isalpha() and len(w) > 2]
    right = sum(english(w) in dictionary()[w] for w in every)
    assert len(every) > 100_000
    assert right > 0.9 * len(every)


def test_a_hyphenated_word_is_counted_part_by_part() -> None:
    assert syllables("well-watered", "en") == 3
    assert syllables("franco-arenoso", "es") == 6


def test_a_word_has_one_syllable_at_least() -> None:
    assert english("hmm") == spanish("zzz") == 1


def test_another_language_is_refused() -> None:
    with pytest.raises(KeyError):
        syllables("Blatt", "de")
    with pytest.raises(KeyError):
        count(["Ein Blatt."], "de")
