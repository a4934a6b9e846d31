"""The whole way in a real browser: from the finder's phone to the signed PDF in the finder's mail.

Pages are checked for accessibility as they come by.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from fruitbody.desk.demo import play
from tests.whole_way.conftest import PASSWORD, Desk

PHONE, TABLE = {"width": 390, "height": 844}, {"width": 1440, "height": 900}
PHOTOS = sorted(play.MAIN.glob("*.jpg"))


class Person:
    """Somebody at a screen: every page they come to is checked for accessibility."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address = page, address

    def go(self, path: str) -> None:
        self.page.goto(path if path.startswith("http") else self.address + path)
        self.look()

    def look(self) -> None:
        self.page.wait_for_load_state()
        found = Axe().run(self.page)
        assert found.violations_count == 0, f"{self.page.url}\n{found.generate_report()}"
        width = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert width <= 0, f"{self.page.url} is wider than the screen by {width} px"

    def follow(self, door: Locator) -> None:
        """Press something that leads to another page."""
        with self.page.expect_navigation():
            door.click()
        self.look()

    def enter(self) -> None:
        """Enter in a field whose form leads to another page."""
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")
        self.look()

    def press(self, words: str | re.Pattern[str]) -> None:
        self.follow(self.page.get_by_role("button", name=words).first)

    def sign_in(self, username: str) -> None:
        self.go("/staff/")
        self.page.locator("input[name=username]").fill(username)
        self.page.locator("input[name=password]").fill(PASSWORD)
        self.enter()


@pytest.fixture
def person(chromium: Browser, desk: Desk) -> Iterator[object]:
    """Makes people: `person(PHONE)` opens a screen of that size."""
    contexts = []

    def make(size: dict[str, int]) -> Person:
        context = chromium.new_context(viewport=size)  # type: ignore[arg-type]
        contexts.append(context)
        return Person(context.new_page(), desk.address)

    yield make
    for context in contexts:
        context.close()


ENTRIES = (
    "form cap and stem",
    "hymenium gills",
    "stage mature",
    "cap width 164 ± 4 #a",
    "cap surface scaly",
    "attachment free",
    "ring movable",
    "volva none",
    "deposit colour green",
    "spore length 10.2 ± 0.3 n 25",
    "spore width 7.3 ± 0.2 n 25",
    "amyloidity dextrinoid",
    "germ pore broad",
)


def announce(finder: Person) -> None:
    """On the phone: first screen, then the form with four photographs, on one thumb."""
    page = finder.page
    finder.go("/")
    expect(page.locator("a[href='tel:18002221222']").first).to_be_visible()
    expect(page.get_by_text("not watched at night").first).to_be_visible()
    finder.go("/send/")
    page.locator("[name=eaten][value=no]").check()
    page.locator("[name=picked][value=yes]").check()
    page.locator("[name=question][value=child]").check()
    page.locator("#id_question_note").fill("Are these harmful to the children? 🍄")
    page.locator("#id_name").fill("Greta Nolan 🌿")
    page.locator("#id_email").fill("greta@example.org")
    page.locator("#id_phone").fill("(202) 555-0150")
    page.locator("[name=way][value=e-mail]").check()
    page.locator("#id_consent_photos").check()
    page.locator("#id_county").fill("Alder")
    page.locator("#id_place_words").fill("Mulch bed at the playground")
    page.locator("#id_kind-0-label").fill("big white parasol")
    for view in ("top", "side", "underside", "base"):
        photo = next(path for path in PHOTOS if path.stem.endswith(view))
        page.locator(f"#id_kind-0-photo_{view}").set_input_files(photo)
    expect(page.locator("[data-photo]")).to_have_count(4, timeout=30_000)
    page.locator("#send-button").click()
    expect(page.get_by_text("It is here. Thank you.")).to_be_visible(timeout=20_000)
    finder.look()


def link_in(desk: Desk) -> str:
    """The private link of the first letter, as the SMTP server received it."""
    (letter,) = desk.letterbox.to("greta@example.org")
    body = letter.get_body()
    assert body is not None
    found = re.search(rf"{re.escape(desk.address)}/follow/\S+", body.get_content())
    assert found, body.get_content()
    return found.group().rstrip(".,")


def receive(front: Person, code: str) -> None:
    """At the front desk: type the slip's code, tick what is there."""
    front.go("/staff/receiving/")
    front.page.locator("#code").fill(code.lower().replace("-", ""))
    front.enter()
    front.press("Receive it")
    expect(front.page.get_by_text("big white parasol").first).to_be_visible()


def examine(bench: Person) -> None:
    """At the bench, by keyboard alone: one line for each finding."""
    page = bench.page
    bench.go("/staff/bench/")
    bench.follow(page.locator("main").get_by_role("link", name=re.compile("^F")).first)
    for words in ENTRIES:
        page.locator("#entry").fill(words)
        page.keyboard.press("Enter")
        expect(page.locator("#entry")).to_have_value("")
    expect(page.locator("#entry-problem")).to_have_count(0)
    page.reload()
    bench.look()
    expect(page.locator("#fits")).to_contain_text("Not excluded")


def name_it(bench: Person) -> None:
    page = bench.page
    page.locator("#id_name").fill("Lepiota molybdites")
    page.locator("#id_basis").fill("Green deposit, sliding double ring, dextrinoid spores.")
    seen = page.locator("#id_acknowledged")
    if seen.count():
        seen.check()
    bench.follow(page.locator(".name-form button.primary"))
    expect(page.get_by_text("Chlorophyllum molybdites").first).to_be_visible()


def issue(bench: Person) -> None:
    """The draft with its prefilled words, signed by the diagnostician."""
    page = bench.page
    bench.go("/staff/reports/")
    bench.follow(page.locator("main").get_by_role("link").first)
    if page.get_by_role("button", name="Begin the report").count():
        bench.press("Begin the report")
    page.locator("#id_answer").fill("It is the green-spored parasol. It makes people ill when they eat it.")
    page.locator("[name=second_reading][value=waived]").check()
    page.locator("#id_note").fill("Plain to see; waived by house rule.")
    bench.press(re.compile("^Issue as"))
    expect(page.get_by_text("Rosa Exemplar").first).to_be_visible()


def signed_pdf(desk: Desk, address: str) -> PdfReader:
    """The PDF attached to the report's letter, as the SMTP server received it."""
    letters = [letter for letter in desk.letterbox.to(address) if any(letter.iter_attachments())]
    (attachment,) = letters[-1].iter_attachments()
    assert attachment.get_content_type() == "application/pdf"
    return PdfReader(io.BytesIO(attachment.get_content()))


def test_the_whole_way_from_a_phone_to_a_signed_report(desk: Desk, person: object) -> None:
    finder, front, bench = person(PHONE), person(TABLE), person(TABLE)  # type: ignore[operator]
    announce(finder)
    link = link_in(desk)
    finder.go(link)
    code = re.search(r"[2-9A-Z]{4}-[2-9A-Z]{4}", finder.page.inner_text("main"))
    assert code
    finder.follow(finder.page.get_by_role("link", name=re.compile("[Pp]ack")).first)
    front.sign_in("front")
    receive(front, code.group())
    bench.sign_in("bench")
    examine(bench)
    name_it(bench)
    issue(bench)
    pdf = signed_pdf(desk, "greta@example.org")
    first, whole = pdf.pages[0].extract_text(), " ".join(page.extract_text() for page in pdf.pages)
    assert "Do not eat any wild mushroom because of it." in first
    assert "green-spored parasol" in first
    assert "Chlorophyllum molybdites" in whole
    assert "10.2 ± 0.3 µm" in whole
    finder.go(link)
    expect(finder.page.get_by_text("The report is issued.").first).to_be_visible()
    front.go("/staff/today/")
    bench.go(f"/staff/records/{code.group()}/")
