"""The season page: one file that asks for nothing, says the answer first and escapes all text."""

import re
from functools import cache
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

from report_tables import saved, section
from rodhours.evidence.response.respond import respond_to_several
from rodhours.evidence.result import Note
from rodhours.report.page import season_page
from rodhours.report.season import Season
from rodhours.report.sections import table as shown_table
from rodhours.report.templates import pieces
from rodhours.words.response import heading


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
    """The page of each odd log; what the longest is about is said of the two others too."""
    page = page_of(*CASES[request.param])
    missing = request.param == "no dates, no waters"
    assert ("Where and when the hours went is not in the log" in page) == missing
    assert ("The log has no dates and waters." in page) == missing
    return page


def test_names_do_not_break_at_their_hyphen():
    """A short name with a hyphen stands in a span that stays in one line, wherever it is said;
    a name too long for a phone may break; no name is changed. No note is not an all-clear."""
    result = a_result([a_comparison(), a_comparison(LONG)], notes=())
    page = page_of(a_season(("plain", "pellet-20", LONG)), result)
    assert "That is no all-clear" in page
    assert "What limits it most" not in page
    assert re.search(r"\.whole \{ white-space: nowrap; \}", page)
    text = re.sub(r"<style>.*?</style>|<svg .*?</svg>|<td>.*?</td>", "", page, flags=re.DOTALL)
    text = re.sub(r'(<span|<bdi) class="whole">.*?(</span>|</bdi>)', "", text)
    text = re.sub(r"<[^>]*>", "", text.replace(LONG, ""))
    assert "pellet-20" not in text
    assert not re.search(f'class="whole">[^<]*{re.escape(LONG)}', page)
    assert LONG in joined(page)


def test_pieces_are_the_text_again():
    """Nothing is lost; a name within a longer name or word is not taken for it."""
    text = "pellet-20-attractor-6 beat pellet-20; try --adjust rod, 2025-04-12, not xpellet-20"
    found = pieces(text, {"pellet-20", "pellet-20-attractor-6", "plain", LONG, "("})
    assert "".join(piece for piece, _ in found) == text
    whole = [piece for piece, kept in found if kept]
    assert whole == ["pellet-20-attractor-6", "pellet-20", "--adjust", "2025-04-12"]


def test_no_heading_praises_a_variant_that_is_not_ahead():
    """Whatever the raw figures say, a heading awards nothing that the answer does not."""
    result = a_result(
        [
            a_comparison(name, verdict=verdict)
            for name, verdict in (
                ("pellet-10", "level"),
                ("pellet-20", "unsettled"),
                ("double-dose", "too little to say"),
            )
        ],
        notes=(),
    )
    page = joined(page_of(a_season(), result))
    headings = re.findall(r"<h[123]>(.*?)</h[123]>", page)
    assert len(headings) > 8
    praise = r"\b(ahead|behind|better|beats?|outfish\w*|faster|winner|more fish|leads?|best bait)\b"
    assert [one for one in headings if re.search(praise, one, flags=re.IGNORECASE)] == []


def test_the_page_is_well_formed_and_asks_for_nothing(page):
    """Every tag that opens closes, in order, ids are there once, links within have their target;
    no script, and no source, link or style points anywhere but into the page (a file to be saved
    lies in its link)."""
    tags = outline(page).tags
    names = [tag for tag, _ in tags]
    assert names.count("h1") == names.count("main") == 1
    assert names.count("svg") == names.count("figure") >= 2
    assert not {"script", "iframe", "object", "embed", "img", "base"} & set(names)
    ids = [attrs["id"] for _, attrs in tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    for tag, attrs in tags:
        assert not any(name.startswith("on") for name in attrs)
        for name in ("src", "href", "srcset", "action", "data"):
            value = attrs.get(name)
            if tag == "a" and "download" in attrs and name == "href":
                assert value.startswith("data:text/csv")
            else:
                assert value in (None, "data:,") or value.removeprefix("#") in ids
    assert not re.search(r"@import|url\((?!#)", page)


def test_each_picture_has_a_name_a_caption_and_its_table(page):
    """No picture without alt text, caption and numbers."""
    for figure in re.findall(r"<figure>.*?</figure>", page, flags=re.DOTALL):
        assert re.search(r'<svg [^>]*role="(?:img|group)" aria-label="[^"]{30,}"', figure)
        assert re.search(r"<figcaption>\S.{30,}</figcaption>", figure)
        assert "<details>" in figure
        assert "<table>" in figure


def test_no_value_that_does_not_exist_reaches_the_reader(page):
    """None, nan, inf and powers of ten are no words for an angler."""
    words = " ".join(text for tag, text in outline(page).texts if tag != "style")
    assert not re.search(r"\b(None|nan|NaN|NaT|inf|<NA>)\b", words)
    assert not re.search(r"\d[eE][-+]\d", words)
    assert not re.search(r"signific|prove", words)


def test_the_page_can_be_heard_and_reached_by_keys(page):
    """A language, headings that skip no level, names for whatever scrolls or can be followed,
    headings of columns and rows, a ring around what has the focus."""
    tags = outline(page).tags
    assert ("html", {"lang": "en-GB"}) in tags
    levels = [int(tag[1]) for tag, _ in tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert all(then <= now + 1 for now, then in pairwise(levels))
    for tag, attrs in tags:
        if "tabindex" in attrs:
            assert attrs["tabindex"] == "0"
            assert attrs["role"] == ("img" if tag == "g" else "region")
            assert attrs["aria-label"]
        if tag == "th":
            assert attrs["scope"] in ("col", "row")
    for inside in re.findall(r"<(?:a|summary)\b[^>]*>(.*?)</(?:a|summary)>", page, re.DOTALL):
        assert re.sub(r"<[^>]*>", "", inside).strip()
    for rule in ("summary:focus-visible", "a:focus-visible", ".scroll:focus-visible"):
        assert rule in page


def test_parts_come_in_their_order():
    """The answer and what limits it, what lies behind it, then what is folded; the list of parts
    has a link to each of them."""
    page = usual_page()
    parts = re.findall(r'<section[^>]* id="([a-z]+)"', page)
    assert parts == [
        "answer",
        "limits",
        "ratios",
        "hours",
        "rates",
        "method",
        "provenance",
        "glossary",
        "program",
    ]
    links = re.findall(r'<li><a href="#([a-z]+)">', page)
    assert links == parts[1:-1]
    assert 'id="rehearsal"' not in page


def test_the_answer_comes_first_and_what_limits_it_by_its_weight():
    """The answer before any number of the season; all notes worst first, the worst at the top
    too; the cautions at the foot."""
    page = joined(usual_page())
    says = "Against plain: "
    assert page.index("<h1>") < page.index(says) < page.index("<svg") < page.index('id="limits"')
    assert page.count("flatters pellet-20:") == 2
    assert page.index("Serious.") < page.index("Caution.") < page.index("Worth knowing.")
    foot = page.split("<footer>")[1]
    for part in ("rod licence", "rules", "overhead power lines", "edge in the dark"):
        assert part in foot


def test_what_is_passed_on_names_no_command():
    """Sentences with a command or an option stand in the one fold that is for whoever has the
    program, after what they are about; the command that made the page is there too."""
    stints = a_season()
    result = a_result(filters={"venue": ["Long Pit"]}, adjusted_for=("spot",))
    page = joined(season_page(Season(stints, result, a_summary(stints), made="2025-12-01")))
    before, _, rest = page.partition('<section class="folded" id="program">')
    fold, _, after = rest.partition("</section>")
    text = re.sub(r"<style>.*?</style>|<[^>]*>", "", before + after, flags=re.DOTALL)
    assert not re.search(r"(?<!\S)--[a-z]|rodhours [a-z]", text)
    asked = "--reference plain --adjust spot --venue &#39;Long Pit&#39;"
    assert f"rodhours report {asked}" in fold
    # Where the numbers come from, and how the page is cited.
    for part in ("ab" * 32, "rodhours 0.1.0", f"{len(stints)} stints on 45 trips"):
        assert part in page
    assert "venue Long Pit" in page
    assert "Adjusted for spot." in page
    (cited,) = re.findall(r"To cite this page: [^<]*", page)
    for part in ("What the trip log says", "rodhours 0.1.0", "2025-12-01", "ab" * 6):
        assert part in cited
    assert "Logged, but not allowed for: rod." in fold
    assert "--adjust rod" in fold


def test_what_can_be_opened_and_followed_has_names_of_its_own():
    """No two folds and no two links are called the same, and no fold stands in the place of the
    answer."""
    page = usual_page()
    names = re.findall(r"<summary>(?:<h2>)?(.*?)(?:</h2>)?</summary>", page)
    assert len(names) == len(set(names)) >= 8
    regions = re.findall(r'role="region" aria-label="(.*?)"', page)
    assert len(regions) == len(set(regions)) >= 5


def test_names_stay_text_in_any_script():
    """Names, waters, titles, sessions and filters cannot become markup, and stay as written; the
    same input gives the same bytes."""
    stints = a_season(("plain", HOSTILE, OTHER_SCRIPTS), venues=(HOSTILE, "Pit"), trips=12)
    stints["session"] = stints["session"] + HOSTILE
    result = a_result(
        [a_comparison(HOSTILE), a_comparison(OTHER_SCRIPTS)],
        [Note("column_not_used", None, "caution", {"column": HOSTILE, "reason": HOSTILE})],
        filters={"venue": HOSTILE},
    )
    page = page_of(stints, result)
    parsed = outline(page)
    assert "script" not in {tag for tag, _ in parsed.tags}
    assert "<script" not in page
    assert any(HOSTILE in text for _, text in parsed.texts)
    assert OTHER_SCRIPTS in page
    assert page_of(stints.copy(), result) == page


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
        assert len(hues) == 4
        for ground in ("paper", "band"):
            assert all(contrast(hue, colours[ground]) >= 3 for hue in hues), name
        assert all(contrast(hue, colours["paper"]) >= graphics for hue in hues), name
        for called in ("ink", "soft"):
            assert contrast(colours[called], colours["paper"]) >= text, name
            assert contrast(colours[called], colours["band"]) >= text, name


def test_long_tables_are_cut_with_a_word():
    """A table on the page has at most 400 rows and knows how many more there are; its file has
    them all."""
    shown = shown_table("hours", "Hours", pd.DataFrame({"Trip": range(407)}))
    assert (len(shown.rows), shown.left_out) == (400, 7)
    file = saved(f'<a href="{shown.link}" download="hours.csv">', "hours.csv")
    assert [row["Trip"] for row in file] == [str(i) for i in range(407)]


def test_an_empty_log_is_refused():
    """A page about nothing is an error of the caller."""
    with pytest.raises(ValueError, match="at least one stint"):
        page_of(a_season().head(0), a_result())


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


@pytest.fixture(scope="module")
def full_page(several):
    """Their page, with a note that the answer and the ingredients have in common."""
    rods = Note("adjust_by_rod", None, "information", {"columns": ["rod"]})
    stints, result = a_season(), a_result(notes=[rods])
    return season_page(Season(stints, result, a_summary(stints), responses=several))


def test_three_ingredients_are_shown_and_the_rest_named(several, full_page):
    """The first three numbers that differ have a part each with picture and table, whose heading
    says of an unsettled one that it is unsettled; the others are named with the command that
    answers for them."""
    columns = [one.column for one in several.responses]
    assert columns == ["pellet_pct", "attractor_ml_per_egg", "size_mm"]
    # Hardness is known of two baits, which differ in pellet too: it has no part of its own.
    assert several.further == ("boil_s",)
    outline(full_page)
    parts = re.findall(r'<section id="(ingredient-\d)">(.*?)</section>', full_page, flags=re.DOTALL)
    assert [name for name, _ in parts] == ["ingredient-1", "ingredient-2", "ingredient-3"]
    for (_, text), one in zip(parts, several.responses, strict=True):
        assert "<svg" in text
        assert "<table>" in text
        heading = re.search(r"<h2>(.*?)</h2>", text)[1]
        settled = one.verdict in ("rises", "falls", "bends", "level")
        assert settled == ("not settled" not in heading and "too little" not in heading)
    fold = joined(section(full_page, "program"))
    assert "boiling time too: rodhours response boil_s" in fold
    assert "boil_s" not in "".join(text for _, text in parts)


def test_what_cannot_be_answered_is_passed_over():
    """No recipes, recipes of baits that were not fished, words and columns of one value."""
    stints = a_season()
    same = RECIPES[["variant", "base_mix", "cork_mm"]]
    for recipes in (pd.DataFrame(), RECIPES.assign(variant=list("abcd")), same):
        assert respond_to_several(stints, recipes).responses == ()
    alone = stints[stints["variant"].isin(["pellet-20", "double-dose"])]
    assert respond_to_several(alone, RECIPES).responses == ()


def test_ingredients_changed_together_are_one_part():
    """A number that always moved with one that is answered has no answer of its own; the part
    names both."""
    both = RECIPES[["variant", "pellet_pct"]].assign(hardness=RECIPES["pellet_pct"] / 10 + 1)
    (one,) = respond_to_several(a_season(), both).responses
    assert one.column == "pellet_pct"
    assert heading(one).startswith("Pellet and hardness: ")


def test_a_ratio_has_one_interval_on_the_page(full_page):
    """The baits of an ingredient have the limits that the answer gives them, whatever the
    ingredient's own fit says."""
    drawn = section(full_page, "ingredient-1")
    for shown in ("0.95 (0.62 to 1.45)", "1.31 (0.86 to 2.02)", "2.20 (1.30 to 4.10)"):
        assert f">{shown}</text>" in section(full_page, "answer")
        assert f">{shown}</text>" in drawn


def test_a_note_is_told_once_on_the_page(several, full_page):
    """What an ingredient's answer shares with the whole answer is not said again beside it."""
    assert "adjust_by_rod" in {note.code for one in several.responses for note in one.notes}
    page = joined(full_page)
    limits = page.split('id="limits"')[1]
    # Once in the list, once at the top as what limits the answer most, once before its command.
    assert "Logged, but not" in limits
    assert page.count("Logged, but not allowed for: rod.") == 3
    texts = re.findall(r'<li><span class="severity">(.*?)</li>', page)
    assert len(texts) == len(set(texts)) > 3
