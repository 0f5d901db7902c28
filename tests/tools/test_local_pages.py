"""A shop's own pages and limits.

Built in where they are, told by file and line where they are wrong, nothing where they are not.
"""

from __future__ import annotations

import json
import re
import textwrap
from pathlib import Path

import pytest

from calc.core.declare import Level
from calc.plate_test.work import with_facts, work
from calc.record.files import read_record, write_record
from tests.oven_log import OVEN_LOG
from tools.build import local_pages, postprocess, site_build
from tools.common import ROOT, Trouble

SOUND = '''procedure = "P-7"
[[limit]]
name = "Cap"
most = "3/32 in"
guide = "cap-limit"
'''
PAGE = (
    "# Our shop\n\nSee [the groove](groove.md#groove-why) and ![the booth](booth.png).\n\nBefore "
    "zebrawood.\n\n[limits]\n\n[calculator: bend-ratio]\n"
)
DOT = bytes.fromhex("89504e470d0a1a0a")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('"P-7"', '"P-7', "limits.toml, line 1: "),
        ('procedure = "P-7"', "", "line 1, field “procedure”: is missing"),
        ('"3/32 in"', '"3/32 inn"', "line 4, field “most”: “3/32 inn” is not a number with a unit"),
        ('"3/32 in"', '"3/32"', "line 4, field “most”"),
        ('"3/32 in"', "3", "line 4, field “most”: write words in quotes"),
        ("most", "moast", "line 4, field “moast”: is not a field here"),
        ('"cap-limit"', '"cap"', "line 5, field “guide”: the register has no value “cap”"),
        ('name = "Cap"', "", "line 2, field “name”: is missing"),
        ('most = "3/32 in"', "", "line 2: the limit has neither least, most nor words"),
        ('guide = "cap-limit"', 'least = "1/8 in"', "line 4, field “most”: is smaller than least"),
        ('guide = "cap-limit"', 'least = "90 A"', "line 4, field “most”: is a length and least is a current"),
        ("[[limit]]", "[limit]", "line 2, field “limit”: write each limit as a table of its own"),
        ("[[limit]]", "[[limits]]", "field “limits”: is not a field here"),
        ('guide = "cap-limit"', 'fact = "capp"', "line 5, field “fact”: a test has no fact “capp”"),
        ('guide = "cap-limit"', 'fact = "hold_points"', "line 5, field “fact”: a test has no fact “hold_points”"),
        ('guide = "cap-limit"', 'fact = "preheat_minimum"', "line 5, field “fact”: “preheat_minimum” is set by least"),
        ('guide = "cap-limit"', 'fact = "electrode"', "line 5, field “fact”: “electrode” is set by words, which is m"),
        ('guide = "cap-limit"', 'fact = "amps"', "line 4, field “most”: “in” is not a unit of current"),
        ('guide = "cap-limit"', 'fact = "opening_over"\n[[limit]]\nname = "Gap"\nmost = "1/8 in"\nfact = "opening_over"',
         "line 9, field “fact”: “opening_over” is set by an earlier limit too"),
        ('most = "3/32 in"\nguide = "cap-limit"', 'most = "3 ft"\nfact = "layer_most"', "line 4, field “most”: 36 in is "),
        ('most = "3/32 in"\nguide = "cap-limit"', 'words = "E9999"\nfact = "electrode"', "line 4, field “words”: "),
        ('most = "3/32 in"\nguide = "cap-limit"',
         'least = "500 °F"\nfact = "preheat_minimum"\n[[limit]]\nname = "I"\nmost = "400 °F"\nfact = '
         '"interpass_maximum"', "line 5, field “fact”: Minimum preheat of your WPS: it is over its maximum"),
        ('procedure = "P-7"\n[[limit]]\nname = "Cap"\nmost = "3/32 in"\nguide = "cap-limit"',
         f'procedure = "{"P" * 90}"\n[[limit]]\nname = "Rod"\nwords = "E7018"\nfact = "electrode"',
         "line 1, field “procedure”: "),
    ],
)
def test_a_mistake_in_the_limits_is_told_with_its_line(old, new, problem):
    assert local_pages.read_limits(SOUND).limits[0].most.text("si") == "2.3813\xa0mm"  # 3/32 x 25.4 = 2.38125
    with pytest.raises(local_pages.LocalError) as caught:
        local_pages.read_limits(SOUND.replace(old, new, 1))
    assert problem in str(caught.value)
    assert all(re.match(r"local/limits\.toml, line \d+", line) for line in str(caught.value).splitlines())


def test_every_mistake_is_told_at_once():
    with pytest.raises(local_pages.LocalError) as caught:
        local_pages.read_limits(SOUND.replace("cap-limit", "x").replace("3/32 in", "y").replace('"Cap"', '""'))
    assert [line.split(",")[1] for line in str(caught.value).splitlines()] == [" line 3", " line 4", " line 5"]


def test_what_a_shop_writes_stays_words():
    limits = local_pages.read_limits(
        SOUND.replace("Cap", "<img src=x onerror=alert(1)>").replace("P-7", "<script>1</script>")
    )
    tags = postprocess.read_tags(local_pages.limits_html(limits))
    assert not {"img", "script"} & {tag.name for tag in tags}


def test_the_example_of_the_page_is_sound():
    page = (ROOT / "docs" / "local-page.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"(?:^    .*\n|^\n(?=    ))+", page.partition("{#local-page-limits}")[2], re.MULTILINE)[:1]
    limits = local_pages.read_limits(textwrap.dedent(example))
    assert len(limits.limits) == 5 and "invented" in limits.procedure
    assert limits.facts == {
        "amps_low": "100 A", "amps_high": "130 A", "interpass_maximum": "500 °F", "electrode": "E7018",
    }
    fields = re.findall(r"^\| (.+?) \|", page.partition("{#local-page-limits}")[2], re.MULTILINE)[1:]
    told = {name for cell in fields for name in re.findall(r"`[\[\]]*(\w+)[\[\]]*`", cell)}
    assert told == {*local_pages.TOP_FIELDS, *local_pages.LIMIT_FIELDS, "limit"}


def test_limits_that_name_facts_make_a_test_that_a_reader_can_start_from():
    limits = local_pages.read_limits(SOUND.replace('guide = "cap-limit"', 'fact = "opening_over"') + '\n'.join([
        "[[limit]]", 'name = "Amperage"', 'least = "115 A"', 'most = "135 A"', 'fact = "amps"',
        "[[limit]]", 'name = "Position"', 'words = "3G, vertical"', 'fact = "position"',
    ]))
    test = read_record(write_record(limits.test))
    assert (test.kind, test.name, dict(test.values)) == ("plate-test", "P-7", {
        "wps": "P-7", "opening_over": "3/32 in", "amps_low": "115 A", "amps_high": "135 A", "position": "3G",
    })
    assert not {"amps_low", "amps_high", "position"} & set(work(test).missing)
    # The shop's band is the WPS's: 140 A, inside every table, is Stop by it.
    over = work(with_facts(test, {"amps": "140 A", "electrode": "E7018", "diameter": "1/8 in"}))
    assert any(each.id == "current.wps" and each.level is Level.STOP for each in over.verdicts)
    assert "shop-test.json" in local_pages.limits_html(limits)


def test_limits_without_facts_make_no_test():
    limits = local_pages.read_limits(SOUND)
    assert limits.test is None and "shop-test" not in local_pages.limits_html(limits)


def folder_with(tmp_path: Path, **files: str | bytes) -> Path:
    """A shop's folder; a double underscore in a name stands for the dot."""
    folder = tmp_path / "shop folder"
    folder.mkdir(exist_ok=True)
    for name, inside in files.items():
        (folder / name.replace("__", ".")).write_bytes(inside if isinstance(inside, bytes) else inside.encode())
    return folder


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Our Shop.md", "name a page with small letters"),
        ("notes.docx", "pages end in .md"),
        ("a picture.png", "name a picture with letters"),
    ],
)
def test_a_file_that_has_no_place_is_told(tmp_path, name, said):
    folder = folder_with(tmp_path)
    (folder / name).write_bytes(b"x")
    with pytest.raises(local_pages.LocalError, match=said):
        local_pages.local_files(folder)


def test_a_page_that_is_not_utf8_is_told_with_its_line(tmp_path):
    folder = folder_with(tmp_path, a__md="# A\n\nSchweißen".encode("cp1252"), b__md="# B\n".encode("utf-8-sig"))
    with pytest.raises(local_pages.LocalError, match="local/a.md, line 3: .*UTF-8"):
        local_pages.read_text(folder / "a.md")
    assert local_pages.read_text(folder / "b.md") == "# B\n"


@pytest.fixture(scope="module")
def with_shop(tmp_path_factory) -> Path:
    """The pages of the whole guide with a shop's folder."""
    limits = SOUND + 'fact = "opening_over"\n'
    folder = folder_with(tmp_path_factory.mktemp("local"), our_shop__md="", limits__toml=limits, booth__png=DOT)
    (folder / "our_shop.md").rename(folder / "our-shop.md")
    (folder / "our-shop.md").write_text(PAGE, encoding="utf-8")
    (folder / "questions").mkdir()
    (folder / "questions" / "rods.toml").write_bytes(OVEN_LOG.replace("\n", "\r\n").encode("utf-8-sig"))
    target = tmp_path_factory.mktemp("built") / "site"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GUIDE_LOCAL", str(folder))
        site_build.run_mkdocs(target, ROOT / "mkdocs.yml")
    site_build.prune(target)
    postprocess.process(target)
    site_build.write_service_worker(target)
    return target


def test_the_page_is_in_the_site_the_navigation_the_search_and_the_offline_set(with_shop):
    text = (with_shop / "local-our-shop.html").read_text(encoding="utf-8")
    assert (
        'href="groove.html#groove-why"' in text
        and 'src="local-booth.png"' in text
        and 'data-calculator="bend-ratio"' in text
    )
    assert "not part of the guide" in text and "2.3813" in text and 'href="register.html#value-cap-limit"' in text
    index = (with_shop / "index.html").read_text(encoding="utf-8")
    assert "Our shop" in index and 'href="local-our-shop.html"' in index
    found = json.loads((with_shop / "search" / "search_index.json").read_text(encoding="utf-8"))["docs"]
    assert any(each["location"].startswith("local-our-shop.html") and "zebrawood" in each["text"] for each in found)
    kept = (with_shop / "sw.js").read_text(encoding="utf-8")
    assert '"local-our-shop.html"' in kept and '"local-booth.png"' in kept and '"assets/shop-test.json"' in kept


def test_the_shop_s_test_is_in_the_site_as_a_file(with_shop):
    test = read_record((with_shop / "assets" / "shop-test.json").read_text(encoding="utf-8"))
    assert test.values == {"wps": "P-7", "opening_over": "3/32 in"}
    assert 'href="assets/shop-test.json"' in (with_shop / "local-our-shop.html").read_text(encoding="utf-8")


def test_the_shop_s_own_objectives_stand_with_their_questions_on_the_page_of_progress(with_shop, site):
    text = (with_shop / "progress.html").read_text(encoding="utf-8")
    row = text.partition('id="objective-own-oven-log"')[2].partition("</tr>")[0]
    assert "Read the oven log" in row and "1 choice" in row and 'data-standing="own-oven-log"' in row
    assert "own-oven-log" not in (site / "progress.html").read_text(encoding="utf-8")


def test_questions_of_the_shop_go_to_the_engine_with_plain_line_ends(tmp_path):
    folder = folder_with(tmp_path)
    assert local_pages.packed_questions(folder) == "" and local_pages.shop_questions(folder).forms == ()
    (folder / "questions").mkdir()
    (folder / "questions" / "rods.toml").write_bytes(OVEN_LOG.replace("\n", "\r\n").encode("utf-8-sig"))
    assert json.loads(local_pages.packed_questions(folder)) == {"files": {"rods.toml": OVEN_LOG}}
    assert local_pages.local_files(folder) == ([], [])


def test_every_problem_of_the_shop_s_questions_is_told_with_file_and_line(tmp_path):
    folder = folder_with(tmp_path)
    (folder / "questions").mkdir()
    for name, data in (("a.toml", OVEN_LOG.encode("utf-16")), ("b.toml", OVEN_LOG.replace("choice", "riddle").encode()),
                       ("c.toml", OVEN_LOG.replace("own-oven-log-m", "m").encode()), ("d.txt", b"x")):
        (folder / "questions" / name).write_bytes(data)
    with pytest.raises(local_pages.LocalError) as caught:
        local_pages.packed_questions(folder)
    told = str(caught.value).splitlines()
    assert [line.partition(",")[0] for line in told] == [f"local/questions/{name}" for name in ("a.toml", "b.toml", "c.toml", "d.txt")]
    assert all(re.match(r"local/questions/[^,]+, line \d+", line) for line in told)
    (folder / "file").mkdir()
    (folder / "file" / "questions").write_bytes(b"")
    with pytest.raises(local_pages.LocalError, match="make it a folder"):
        local_pages.shop_questions(folder / "file")


def test_a_question_in_the_wrong_place_is_told_where_to_go(tmp_path):
    folder = folder_with(tmp_path, rods__toml=OVEN_LOG)
    with pytest.raises(local_pages.LocalError, match="questions lie in questions/"):
        local_pages.local_files(folder)


def test_without_a_folder_nothing_of_it_is_there(site, with_shop):
    names = {path.name for path in with_shop.glob("*.html")} - {path.name for path in site.glob("*.html")}
    assert names == {"local-our-shop.html"}
    assert "Our shop" not in (site / "index.html").read_text(encoding="utf-8")
    assert not (site / "assets" / "shop-test.json").exists()


@pytest.mark.parametrize(("files", "said"), [
    ({"limits__toml": SOUND.replace("3/32 in", "3/32 inn")}, "local/limits.toml, line 4, field “most”"),
    ({"groove__md": "# Ours\n"}, "local/groove.md: the guide has a file of that name"),
    ({"a__md": "# A\n\n[objective: x] y\n"}, "local/a.md, line 3: [objective: …] belongs to the guide"),
    ({"a__md": "# A\n\n[limits]\n"}, "local/a.md, line 3: [limits] needs the file local/limits.toml"),
])
def test_a_bad_folder_stops_the_build_with_file_and_line(tmp_path, monkeypatch, files, said):
    monkeypatch.setenv("GUIDE_LOCAL", str(folder_with(tmp_path, **files)))
    with pytest.raises(Trouble) as caught:
        site_build.run_mkdocs(tmp_path / "site", ROOT / "mkdocs.yml")
    assert said in str(caught.value)
