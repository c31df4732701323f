"""The season page: one file that asks for nothing, says the answer first and escapes all text."""

import re
from functools import cache
from html import unescape
from html.parser import HTMLParser
from itertools import pairwise

import pandas as pd
import pytest
from seasons import (
    CASES,
    HOSTILE,
    LONG,
    OTHER_SCRIPTS,
    a_comparison,
    a_result,
    a_season,
    a_summary,
    contrast,
)

from rodhours.evidence.ingredients.several import respond_to_several
from rodhours.evidence.result import Note
from rodhours.report.contents import Season
from rodhours.report.season import season_page
from rodhours.report.unbroken import pieces
from rodhours.simulate.rehearse import rehearse
from rodhours.wording import response as response_words

LONG_ONE = a_comparison(LONG)


class Outline(HTMLParser):
    """Checks that tags close in order; collects tags, attributes and text."""

    def __init__(self):
        super().__init__()
        self.open, self.tags, self.texts = [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in {"meta", "link"}:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.texts.append((self.open[-1] if self.open else "", data))


def page_of(stints, result):
    return season_page(Season(stints, result, a_summary(stints)))


@cache
def usual_page():
    """The page of a season and a comparison with nothing odd in them."""
    return page_of(a_season(), a_result())


def joined(page):
    """The page without the spans that keep names in one line."""
    return re.sub(r'<span class="whole">(.*?)</span>', r"\1", page)


def outline(page):
    parser = Outline()
    parser.feed(page)
    parser.close()
    assert parser.open == []
    return parser


@pytest.fixture(scope="module", params=CASES)
def page(request):
    """The page of each odd log."""
    return page_of(*CASES[request.param])


def test_names_do_not_break_at_their_hyphen():
    """A short name with a hyphen stands in a span that stays in one line, wherever it is said;
    a name too long for a phone may break; no name is changed."""
    page = page_of(a_season(("plain", "pellet-20", LONG)), a_result([a_comparison(), LONG_ONE]))
    assert re.search(r"\.whole \{ white-space: nowrap; \}", page)
    text = re.sub(r"<style>.*?</style>|<svg .*?</svg>|<td>.*?</td>", "", page, flags=re.DOTALL)
    text = re.sub(r'(<span|<bdi) class="whole">.*?(</span>|</bdi>)', "", text)
    text = re.sub(r"<[^>]*>", "", text.replace(LONG, ""))
    assert "pellet-20" not in text
    assert "--adjust" not in text
    assert not re.search(f'class="whole">[^<]*{re.escape(LONG)}', page)
    assert LONG in joined(page)


def test_pieces_are_the_text_again():
    """Nothing is lost; a name within a longer name or word is not taken for it."""
    text = "pellet-20-attractor-6 beat pellet-20; try --adjust rod, 2025-04-12, not xpellet-20"
    found = pieces(text, {"pellet-20", "pellet-20-attractor-6", "plain", LONG, "("})
    assert "".join(piece for piece, _ in found) == text
    whole = [piece for piece, kept in found if kept]
    assert whole == ["pellet-20-attractor-6", "pellet-20", "--adjust", "2025-04-12"]


@pytest.mark.parametrize("verdict", ["unsettled", "too little to say", "level"])
def test_no_heading_praises_a_variant_that_is_not_ahead(verdict):
    """Whatever the raw figures say, a heading awards nothing that the answer does not."""
    result = a_result(
        [a_comparison(name, verdict=verdict) for name in ("pellet-10", "pellet-20", "double-dose")],
        notes=(),
    )
    page = joined(page_of(a_season(), result))
    headings = re.findall(r"<h[123]>(.*?)</h[123]>", page)
    assert len(headings) > 8
    praise = r"\b(ahead|behind|better|beats?|outfish\w*|faster|winner|more fish|leads?|best bait)\b"
    assert [one for one in headings if re.search(praise, one, flags=re.IGNORECASE)] == []


def test_the_page_is_well_formed_whatever_the_log(page):
    """Every tag that opens closes, in order; catch rates and calendar are drawn, each twice."""
    tags = [tag for tag, _ in outline(page).tags]
    assert tags.count("h1") == 1
    assert tags.count("svg") == 2 * tags.count("figure") >= 4


def test_the_page_asks_for_nothing(page):
    """No script, and no source, link or style that points anywhere but into the page; a file to
    be saved lies in its link."""
    for tag, attrs in outline(page).tags:
        assert tag not in {"script", "iframe", "object", "embed", "img", "base"}
        for name in ("src", "href", "srcset", "action", "data"):
            value = attrs.get(name)
            saved = tag == "a" and "download" in attrs and (value or "").startswith("data:text/csv")
            assert value is None or value.startswith("#") or value == "data:," or saved
        assert not any(name.startswith("on") for name in attrs)
    assert not re.search(r"@import|url\((?!#)", page)


def test_ids_are_used_once_and_links_lead_somewhere(page):
    """Links within the page have their target, and no target is there twice."""
    tags = outline(page).tags
    ids = [attrs["id"] for _, attrs in tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    links = {
        attrs["href"][1:]
        for tag, attrs in tags
        if tag in {"a", "use"} and "href" in attrs and "download" not in attrs
    }
    assert links <= set(ids)


def test_each_picture_has_a_name_a_caption_and_its_table(page):
    """No picture without alt text, caption and numbers, for a column of text and for a phone."""
    for figure in re.findall(r"<figure>.*?</figure>", page, flags=re.DOTALL):
        for kind in ("wide", "narrow"):
            said = rf'<svg [^>]*class="{kind}" [^>]*role="img" aria-label="[^"]{{30,}}"'
            assert re.search(said, figure)
        assert re.search(r"<figcaption>\S.{30,}</figcaption>", figure)
        assert "<details>" in figure
        assert "<table>" in figure


def test_no_value_that_does_not_exist_reaches_the_reader(page):
    """None, nan, inf and powers of ten are no words for an angler."""
    words = " ".join(text for tag, text in outline(page).texts if tag != "style")
    assert not re.search(r"\b(None|nan|NaN|NaT|inf|<NA>)\b", words)
    assert not re.search(r"\d[eE][-+]\d", words)
    assert not re.search(r"signific|prove", words)


def test_the_answer_comes_first():
    """The first words after the title are the answer, before any number of the season."""
    result = a_result([a_comparison()])
    page = joined(page_of(a_season(), result))
    says = "pellet-20 caught 1.31 times as fast as plain"
    assert page.index("<h1>") < page.index(says) < page.index("<svg") < page.index('id="rates"')
    assert "This rests on 41 fish" in page
    assert "What limits it most." in page


def test_parts_come_in_their_order():
    """Answer, catch rates, ratios, fish as they came, the calendar, limits, method, provenance."""
    page = usual_page()
    parts = re.findall(r'<section[^>]* id="([a-z]+)"', page)
    assert parts == [
        "answer",
        "rates",
        "ratios",
        "cumulative",
        "hours",
        "limits",
        "method",
        "provenance",
        "glossary",
    ]


def test_the_page_says_where_its_numbers_come_from():
    """Version, fingerprint of the logbook, rows, chosen rows and settings are on the page."""
    stints = a_season()
    result = a_result(filters={"since": "2025-04-01"}, adjusted_for=("rod",))
    page = joined(page_of(stints, result))
    for part in ("ab" * 32, "rodhours 0.1.0", f"{len(stints)} stints on 45 trips"):
        assert part in page
    assert "since 2025-04-01" in page
    assert "Adjusted for rod." in page


def test_every_note_is_on_the_page_with_its_weight():
    """All notes are listed, worst first, the worst at the top too."""
    page = joined(usual_page())
    assert page.count("flatters pellet-20:") == 2
    assert page.index("Serious.") < page.index("Caution.") < page.index("Worth knowing.")


def test_without_notes_the_page_gives_no_all_clear():
    """No note is not an all-clear."""
    page = page_of(a_season(), a_result(notes=()))
    assert "That is no all-clear" in page
    assert "What limits it most" not in page


def test_the_usual_cautions_stand_at_the_foot():
    """Licence and rules first, power lines, the water's edge in the dark."""
    foot = usual_page().split("<footer>")[1]
    for part in ("rod licence", "rules", "overhead power lines", "edge in the dark"):
        assert part in foot


def test_hostile_text_stays_text():
    """Names, waters, titles, sessions and filters cannot become markup."""
    stints = a_season(("plain", HOSTILE), venues=(HOSTILE, "Pit"))
    stints["session"] = stints["session"] + HOSTILE
    result = a_result(
        [a_comparison(HOSTILE)],
        [Note("column_not_used", None, "caution", {"column": HOSTILE, "reason": HOSTILE})],
        filters={"venue": HOSTILE},
    )
    page = page_of(stints, result)
    parsed = outline(page)
    assert "script" not in {tag for tag, _ in parsed.tags}
    assert "<script" not in page
    assert any(HOSTILE in text for _, text in parsed.texts)


def test_other_scripts_are_kept():
    """A name in any script is on the page as it was written."""
    stints = a_season(("plain", OTHER_SCRIPTS))
    assert OTHER_SCRIPTS in page_of(stints, a_result([a_comparison(OTHER_SCRIPTS)]))


def test_the_same_input_gives_the_same_bytes():
    """A page says nothing of when or where it was made."""
    stints = a_season()
    assert page_of(stints, a_result()) == page_of(stints.copy(), a_result())


def palettes(page):
    """The colours of the page in each of its moods, laid over each other as in a browser."""
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL).group(1)
    over = r"(@media [^{]*\{\s*(?:@page [^}]*\}\s*)?)?"
    blocks = re.findall(over + r":root \{(.*?)\}", style, re.DOTALL)
    found = {}
    for media, colours in blocks:
        name = " ".join(re.findall(r"dark|more|print", media)) or "light"
        own = dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{6})", colours))
        under = {"more": found.get("light"), "more dark": found.get("dark")}.get(name) or {}
        found[name] = under | own
    return found


def test_colours_stand_out_in_every_mood():
    """On screen in light and dark and on paper graphics reach 3:1 and text 4.5:1, on the shaded
    band too; where more contrast is asked for, text reaches 7:1 and graphics 4.5:1 (Web Content
    Accessibility Guidelines 2.1, success criteria 1.4.3, 1.4.6 and 1.4.11)."""
    found = palettes(usual_page())
    assert set(found) == {"light", "dark", "more", "more dark", "print"}
    for name, colours in found.items():
        text, graphics = (7, 4.5) if "more" in name else (4.5, 3)
        hues = [colour for called, colour in colours.items() if called.startswith("hue")]
        assert len(hues) == 5
        assert all(contrast(hue, colours["paper"]) >= graphics for hue in hues), name
        for called in ("ink", "soft"):
            assert contrast(colours[called], colours["paper"]) >= text, name
            assert contrast(colours[called], colours["band"]) >= text, name


def test_the_contrast_of_two_colours_is_that_of_the_guidelines():
    """Black on white is 21:1 and equal colours 1:1 by definition; #777777 on white is 4.48:1 and
    #767676 4.54:1, the grey on either side of 4.5 (figures often given, from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)
    assert contrast("#ffffff", "#767676") == pytest.approx(4.54, abs=0.005)


def test_the_page_can_be_heard_and_reached_by_keys(page):
    """A language, one main part, headings that skip no level, names for whatever scrolls or can
    be followed, headings of columns and rows, a ring around what has the focus."""
    tags = outline(page).tags
    assert ("html", {"lang": "en-GB"}) in tags
    assert [tag for tag, _ in tags].count("main") == 1
    levels = [int(tag[1]) for tag, _ in tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert all(then <= now + 1 for now, then in pairwise(levels))
    for tag, attrs in tags:
        if "tabindex" in attrs:
            assert (attrs["tabindex"], attrs["role"]) == ("0", "region")
            assert attrs["aria-label"]
        if tag == "th":
            assert attrs["scope"] in ("col", "row")
    for inside in re.findall(r"<(?:a|summary)\b[^>]*>(.*?)</(?:a|summary)>", page, re.DOTALL):
        assert re.sub(r"<[^>]*>", "", inside).strip()
    for rule in ("summary:focus-visible", "a:focus-visible", ".scroll:focus-visible"):
        assert rule in page


def test_long_tables_are_cut_with_a_word():
    """A table on the page has at most 400 rows and says how many more there are."""
    stints = a_season(trips=400, days_between=1)
    page = page_of(stints, a_result())
    assert re.search(r"\d+ further rows are left out here", page)


def test_an_empty_log_is_refused():
    """A page about nothing is an error of the caller."""
    with pytest.raises(ValueError, match="at least one stint"):
        page_of(a_season().head(0), a_result())


def test_missing_dates_and_waters_are_said():
    """What is not logged is named, not left blank."""
    stints = a_season().drop(columns=["venue"]).assign(date=pd.NaT)
    page = page_of(stints, a_result())
    assert "Where and when the hours went is not in the log" in page
    assert "The log has no dates and waters." in page


RECIPES = pd.DataFrame(
    {
        "variant": ["plain", "pellet-10", "pellet-20", "double-dose"],
        "base_mix": ["semolina"] * 4,
        "pellet_pct": [0, 10, 20, 20],
        "attractor_ml_per_egg": [3, 3, 3, 6],
        "size_mm": [14, 16, 16, 14],
        "cork_mm": [12, 12, 12, 12],
        "boil_s": [100, 90, 90, 110],
        "hardness": [1, 2, None, None],
    }
)


@pytest.fixture(scope="module")
def several():
    """The ingredients of a season of whose recipes five numbers differ."""
    return respond_to_several(a_season(), RECIPES)


def full_page(several, stints=None, result=None, **parts):
    stints = a_season() if stints is None else stints
    result = a_result() if result is None else result
    return season_page(Season(stints, result, a_summary(stints), responses=several, **parts))


def test_three_ingredients_are_shown_and_the_rest_named(several):
    """The first three numbers that differ have a part each with picture, opening sentence and
    table; the others are named with the command that answers for them."""
    assert [one.column for one in several.responses] == [
        "pellet_pct",
        "attractor_ml_per_egg",
        "size_mm",
    ]
    assert several.further == ("boil_s", "hardness")
    written = full_page(several)
    page = joined(written)
    found = re.findall(r'<section id="(ingredient-\d)">(.*?)</section>', page, flags=re.DOTALL)
    assert [name for name, _ in found] == ["ingredient-1", "ingredient-2", "ingredient-3"]
    for (_, text), one in zip(found, several.responses, strict=True):
        assert response_words.opening(one.to_dict()) in unescape(text).replace("\u00a0", " ")
        assert "<svg" in text
        assert "<table>" in text
    assert "boiling time and hardness too: rodhours response boil_s" in found[-1][1]
    assert "boil_s" not in found[0][1]
    ids = re.findall(r' id="([^"]*)"', page)
    assert len(ids) == len(set(ids))
    outline(written)


def test_what_cannot_be_answered_is_passed_over():
    """No recipes, recipes of baits that were not fished, words and columns of one value."""
    stints = a_season()
    assert respond_to_several(stints, pd.DataFrame()).responses == ()
    assert respond_to_several(stints, RECIPES.assign(variant=list("abcd"))).responses == ()
    same = RECIPES[["variant", "base_mix", "cork_mm"]]
    assert respond_to_several(stints, same).responses == ()
    alone = stints[stints["variant"].isin(["pellet-20", "double-dose"])]
    found = respond_to_several(alone, RECIPES)
    assert [one.column for one in found.responses] == ["attractor_ml_per_egg", "size_mm", "boil_s"]


def test_a_note_is_told_once_on_the_page(several):
    """What an ingredient's answer shares with the whole answer is not said again beside it."""
    rods = Note("adjust_by_rod", None, "information", {})
    assert "adjust_by_rod" in {note.code for one in several.responses for note in one.notes}
    page = joined(full_page(several, result=a_result(notes=[rods])))
    limits = page.split('id="limits"')[1]
    assert "See whether it changes with --adjust rod." in limits
    # Once in the list, and once at the top as what limits the answer most.
    assert page.count("See whether it changes with --adjust rod.") == 2
    texts = re.findall(r'<li><span class="severity">(.*?)</li>', page)
    assert len(texts) == len(set(texts)) > 3


def test_no_ingredient_is_praised_that_is_not_settled(several):
    """A heading says of an unsettled ingredient that it is unsettled."""
    for one in several.responses:
        heading = response_words.heading(one.to_dict())
        settled = one.verdict in ("rises", "falls", "bends", "level")
        assert settled == ("not settled" not in heading and "too little" not in heading)


@pytest.mark.parametrize(
    ("verdict", "basis", "along", "said"),
    [
        ("rises", "same trips", [], "The catch rate rises with pellet"),
        ("falls", "same trips", ["size_mm"], "The catch rate falls with pellet and size together"),
        (
            "bends",
            "all trips",
            [],
            "The catch rate bends with pellet, over all trips, which cannot tell bait from day",
        ),
        ("level", "same trips", [], "The catch rate is level over the range of pellet"),
        ("unsettled", "same trips", [], "What pellet does to the catch rate is not settled"),
        (
            "unsettled",
            "all trips",
            ["size_mm"],
            "What pellet and size do to the catch rate is not settled",
        ),
        (
            "too little to say",
            "same trips",
            [],
            "There is too little to say what pellet does to the catch rate",
        ),
    ],
)
def test_the_heading_of_an_ingredient(verdict, basis, along, said):
    """The verdict; what was always changed with it shares it, and all trips are said to be."""
    notes = [{"code": "moves_together", "numbers": {"other": other}} for other in along]
    machine = {"column": "pellet_pct", "verdict": verdict, "basis": basis, "notes": notes}
    assert response_words.heading(machine) == said


def test_a_rehearsal_has_its_part(several):
    """Heading, honesty and picture of the rehearsal, before what limits the answer."""
    stints = a_season()
    rehearsal = rehearse(stints, "plain", "pellet-20", seasons=1)
    written = full_page(several, rehearsal=rehearsal)
    page = joined(written)
    text = page.split('id="rehearsal"')[1].split("</section>")[0]
    assert "the interval held the truth in" in text
    assert "<svg" in text
    assert page.index('id="rehearsal"') < page.index('id="limits"')
    assert "rehearsal" not in re.findall(r'<section id="(\w+)"', usual_page())
    assert full_page(several, rehearsal=rehearsal) == written
