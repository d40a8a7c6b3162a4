"""A page in a real browser, Chromium without a window, driven by selenium.

Skipped, and said so, only where no browser is installed (Debian: chromium, chromium-driver).
axe-core (`axe/`) looks for what keeps people out; WCAG 2.2 AA is what it is asked for.
"""

from __future__ import annotations

import base64
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from assembly_sim.model.fuel import Cost
from assembly_sim.report.page.compare_page import compare_page
from assembly_sim.report.page.content import figures, tables
from assembly_sim.report.page.render import html
from assembly_sim.report.page.run_page import run_page
from assembly_sim.report.sweep.page import sweep_page
from assembly_sim.studies.compare import Compared
from assembly_sim.studies.sweep.points import sobol
from assembly_sim.studies.sweep.questions import asked_of
from assembly_sim.verdict.contract import summary_json
from assembly_sim.verdict.summary import typed_summary
from tests import small_house
from tests.checks import made
from tests.report import pages
from tests.report.compared import DOLLARS, compared
from tests.report.swept import sweep_of

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
DRIVER = shutil.which("chromedriver")
AXE = Path(__file__).parent / "axe" / "axe.min.js"
SHEETS = {  # px inside the margins of @page, 14 mm above and below, 13 mm beside
    "A4": ((210.0 - 26.0) / 25.4 * 96.0, (297.0 - 28.0) / 25.4 * 96.0),
    "letter": ((215.9 - 26.0) / 25.4 * 96.0, (279.4 - 28.0) / 25.4 * 96.0),
}
PHONE, DESK = 400, 1200
PAGES = ("page.html", "hostile.html", "stopped.html", "compared.html", "house.html", "swept.html")

pytestmark = pytest.mark.skipif(
    not (BROWSER and DRIVER), reason="no browser is installed: apt-get install chromium-driver"
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("pages")
    (place / "page.html").write_text(html(pages.page(pages.swinging(), probed=True)), "utf-8")
    (place / "hostile.html").write_text(html(pages.page(pages.hostile())), "utf-8")
    (place / "stopped.html").write_text(html(pages.page(pages.stopped(3000), "ip")), "utf-8")
    house = small_house.result()
    (place / "house.html").write_text(html(run_page(house, typed_summary(house))), "utf-8")
    (place / "compared.html").write_text(html(compare_page(options())), "utf-8")
    found = asked_of(sweep_of(sobol(3, 128, 1), "sobol", failed=3), "gets wet, within limits")
    (place / "swept.html").write_text(html(sweep_page(found)), "utf-8")
    return place


def options() -> Compared:
    """Six options of hostile names, one of them wet."""
    dry = made.run(temperature=285.0, humidity=0.4)
    heats = {f"part {at}": (100.0 * at, -5.0 * at) for at in range(8)}
    some = {"as found": (dry, heats, None)}
    for at in range(1, 6):
        less = {name: (a / (1 + at), b) for name, (a, b) in heats.items()}
        cost = Cost(500.0 * at, 800.0 * at, DOLLARS)
        some[f"{pages.HOSTILE} {at}"] = (pages.swinging() if at == 5 else dry, less, cost)
    return compared(some, {"as found": pages.HOSTILE})


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = BROWSER or ""
    for each in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(each)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    driver.set_page_load_timeout(120)
    yield driver
    driver.quit()


def show(browser: Any, file: Path, width: float = DESK, **media: str) -> None:
    """Open a file at a width, under a scheme of colours or a medium, with all that folds open."""
    features = [{"name": "prefers-color-scheme", "value": media.get("scheme", "light")}]
    look = {"features": features, "media": media.get("medium", "")}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", look)
    size = {"width": round(width), "height": 900, "deviceScaleFactor": 1, "mobile": width <= PHONE}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.get(file.as_uri())


def unfold(browser: Any) -> None:
    browser.execute_script("document.querySelectorAll('details').forEach(d => d.open = true)")


def test_it_loads_without_an_error_and_asks_nobody_for_anything(browser: Any, folder: Path) -> None:
    browser.get_log("performance")
    show(browser, folder / "page.html")
    messages = [json.loads(one["message"])["message"] for one in browser.get_log("performance")]
    asked = {
        message["params"]["request"]["url"]
        for message in messages
        if message["method"] == "Network.requestWillBeSent"
    }
    assert {url for url in asked if not url.startswith("data:")} == {
        (folder / "page.html").as_uri()
    }
    assert browser.get_log("browser") == []
    assert browser.execute_script("return document.scripts.length") == 0


def test_every_figure_has_its_words_and_its_numbers(browser: Any, folder: Path) -> None:
    show(browser, folder / "page.html")
    found = browser.execute_script(
        "return [...document.querySelectorAll('figure')].map(f => [f.id, "
        "f.querySelector('.says').textContent, f.querySelectorAll('tbody tr').length, "
        "f.querySelector('svg').getBoundingClientRect().height, "
        "f.querySelector('title').textContent, f.querySelector('desc').textContent, "
        "f.querySelectorAll('svg text').length])"
    )
    expected = list(figures(pages.page(pages.swinging(), probed=True)))
    assert [one[0] for one in found] == [one.name for one in expected]
    for (_, says, rows, height, title, description, texts), one in zip(found, expected):
        assert says.strip()
        assert rows == len(one.table.rows)
        assert height > 100
        assert title == one.title
        assert description == one.says
        assert texts > 2


def test_tables_match_the_contract_to_the_printed_digit(browser: Any, folder: Path) -> None:
    show(browser, folder / "page.html")
    read = browser.execute_script(
        "return Object.fromEntries([...document.querySelectorAll('table')].map(t => "
        "[t.caption.textContent, [...t.tBodies[0].rows].map(r => [...r.cells].map(c => "
        "c.textContent))]))"
    )
    known = summary_json(typed_summary(pages.swinging()))["assemblies"][0]
    energy = {row[0]: row[1:] for row in read["Energy"]}
    for words, stem in (("heat loss", "annual_heat_loss"), ("heat gain", "annual_heat_gain")):
        parts = ("total", "conducted", "carried", "incoming_air")
        expected = [f"{known[f'{stem}_{part}_kwh_m2']:.2f}" for part in parts]
        assert energy[f"{words}, kWh/m\u00b2"] == expected
    planes = read["Planes, outside to inside"]
    for row, plane in zip(planes, known["planes"], strict=True):
        assert row[0].startswith(plane["name"])
        assert row[4] == f"{100.0 * plane['max_relative_humidity']:.1f}"
        assert row[5] == str(plane["condensation_risk_hours"])
        assert row[9] == f"{plane['mould_index_max']:.2f}"
    shown = {one.title: one for one in tables(pages.page(pages.swinging(), probed=True))}
    assert set(shown) == set(read)


@pytest.mark.parametrize("name", PAGES)
def test_a_phone_scrolls_only_downward(browser: Any, folder: Path, name: str) -> None:
    show(browser, folder / name, PHONE)
    for _ in range(2):
        wide = browser.execute_script(
            "return [innerWidth, document.documentElement.scrollWidth, document.body.scrollWidth]"
        )
        assert wide[0] == PHONE
        assert max(wide) <= PHONE
        unfold(browser)


@pytest.mark.parametrize("name", ["page.html", "compared.html", "house.html", "swept.html"])
@pytest.mark.parametrize("sheet", SHEETS)
def test_no_figure_is_cut_in_print(browser: Any, folder: Path, sheet: str, name: str) -> None:
    """Each figure may not be broken and is lower than a sheet; nothing is wider than one."""
    width, height = SHEETS[sheet]
    show(browser, folder / name, width, medium="print")
    found = browser.execute_script(
        "return [...document.querySelectorAll('figure')].map(f => [f.id, "
        "getComputedStyle(f).breakInside, f.getBoundingClientRect().height, "
        "f.getBoundingClientRect().right, f.querySelector('svg').getBoundingClientRect().right])"
    )
    for figure, rule, tall, right, drawn in found:
        assert rule == "avoid", figure
        assert 0 < tall <= height, figure
        assert max(right, drawn) <= width + 1, figure
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width + 1
    folded = "return [...document.querySelectorAll('.folded table')].map(t => t.offsetHeight)"
    assert min(browser.execute_script(folded)) > 20


def test_it_prints_on_a_few_sheets_in_the_colours_of_paper(browser: Any, folder: Path) -> None:
    show(browser, folder / "page.html", scheme="dark")
    sheet = {"paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": True}
    printed = browser.execute_cdp_cmd("Page.printToPDF", sheet)["data"]
    document = base64.b64decode(printed)
    assert document.startswith(b"%PDF")
    assert 4 <= document.count(b"/Type /Page\n") <= 20
    show(browser, folder / "page.html", scheme="dark", medium="print")
    ink = "return getComputedStyle(document.documentElement).color"
    assert browser.execute_script(ink) == "rgb(31, 36, 41)"


@pytest.mark.parametrize(
    ("name", "width", "scheme"),
    [
        ("page.html", DESK, "light"),
        ("page.html", DESK, "dark"),
        ("page.html", PHONE, "light"),
        ("stopped.html", DESK, "light"),
        ("compared.html", DESK, "light"),
        ("compared.html", PHONE, "dark"),
        ("house.html", DESK, "dark"),
    ],
)
def test_axe_finds_nothing_serious(
    browser: Any, folder: Path, name: str, width: int, scheme: str
) -> None:
    show(browser, folder / name, width, scheme=scheme)
    unfold(browser)
    browser.execute_script(AXE.read_text(encoding="utf-8"))
    browser.set_script_timeout(120)
    found = browser.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', "
        "'best-practice']}).then(r => done([r.violations.map(v => [v.impact, v.id, "
        "v.nodes.slice(0, 3).map(n => n.html.slice(0, 160))]), r.passes.map(p => p.id)]))"
    )
    violations, passes = found
    assert "color-contrast" in passes
    assert [one for one in violations if one[0] in ("serious", "critical")] == []


def test_names_that_attack_are_shown_as_text(browser: Any, folder: Path) -> None:
    show(browser, folder / "hostile.html")
    unfold(browser)
    assert browser.execute_script("return document.scripts.length") == 0
    assert browser.title.startswith(pages.HOSTILE.partition(" &lt;")[0][:12])
    assert "pwned" not in browser.title.partition("<script>")[0]
    text = browser.execute_script("return document.body.textContent")
    assert text.count("<script>document.title='pwned'</script> &lt; \\u202e\"'") > 20
    assert "\u202e" not in text
    source = browser.execute_script("return document.querySelector('.source pre').textContent")
    assert source.endswith("</pre></details>")
    drawn = browser.execute_script(
        "return [...document.querySelectorAll('svg text')].map(t => t.textContent).join(' ')"
    )
    assert "$\\frac" in drawn
