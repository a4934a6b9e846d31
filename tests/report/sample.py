"""Reports of an invented clinic, and readers for what was printed."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pypdf
import pypdfium2 as pdfium
from PIL import Image, ImageDraw

from fruitbody.report import (
    Clinic,
    Evidence,
    Formal,
    KindReport,
    Means,
    NotExcluded,
    NotSeen,
    Opinion,
    Party,
    Person,
    Photo,
    Question,
    ReportContent,
    Strip,
    Submission,
    compose_name,
)

ZONE = ZoneInfo("America/New_York")
ROSA = Person("Rosa Exemplar", "diagnostician")


def picture(width: int = 900, height: int = 600, colour: str = "#c9a46b") -> bytes:
    """A drawn mushroom as JPEG bytes."""
    image = Image.new("RGB", (width, height), "#7d8a6a")
    draw = ImageDraw.Draw(image)
    draw.rectangle((width * 0.46, height * 0.45, width * 0.54, height * 0.9), fill="#efe6d2")
    draw.pieslice((width * 0.25, height * 0.2, width * 0.75, height * 0.8), 180, 360, fill=colour)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=85)
    return out.getvalue()


def button() -> KindReport:
    """Story 4: a white button without its foot."""
    return KindReport(
        finder_label="white ones from the lawn",
        clinic_number="26-0417-A",
        name=compose_name("Amanita", qualifier="sp."),
        rank="named to genus",
        certainty="not further on this material",
        determined_by=ROSA,
        determined_on=date(2026, 10, 6),
        means=Means(
            people="Members of this genus have killed. Pick up fruit bodies where children play.",
            animals="Keep dogs away from the place until the fruit bodies are gone.",
        ),
        not_excluded=(
            NotExcluded(
                group="white deadly Amanita kinds",
                syndrome="late liver failure; signs may begin only after 6 to 24 hours",
            ),
        ),
        photos=(
            Photo(
                image=picture(),
                view="side",
                caption="as received, stem cut",
                alt="A white button, stem cut off above ground.",
            ),
            Photo(image=picture(600, 800, "#eeeeee"), view="cut", caption="halved"),
        ),
        evidence=(
            Evidence(
                organ="cap",
                character="width of the cap",
                value="41",
                unit="mm",
                uncertainty=1.5,
                n=1,
                by="diagnostician",
                seen_on="material",
                letter_mm=(41, 41),
            ),
            Evidence(organ="cap", character="colour of the cap", value="white", by="diagnostician", seen_on="material"),
            Evidence(
                organ="gills",
                character="how the gills meet the stem",
                value="free",
                by="diagnostician",
                seen_on="material",
            ),
            Evidence(
                organ="spores",
                character="length of the spores",
                value="9.1",
                unit="µm",
                uncertainty=0.2,
                n=24,
                by="diagnostician",
                seen_on="material",
            ),
        ),
        not_seen=(NotSeen(organ="stem", character="sac at the foot", why="the foot is missing; cut above ground"),),
        strips=(
            Strip(
                character="Cap width",
                unit="mm",
                low=50,
                high=120,
                least=35,
                most=150,
                found=(41, 41),
                uncertainty=1.5,
                n=1,
            ),
            Strip(
                character="Spore length",
                unit="µm",
                low=8,
                high=10,
                least=7,
                most=11.5,
                found=(9.1, 9.1),
                uncertainty=0.2,
                n=24,
            ),
        ),
        opinions=(
            Opinion(
                text="A member of this genus, by the free gills and the halved button.",
                by=ROSA,
                basis="the findings above",
            ),
        ),
    )


def crust() -> KindReport:
    """Story 6: black crusts at the flare of a playground beech."""
    return KindReport(
        finder_label="black stuff",
        clinic_number="26-0423-A",
        name=compose_name("Kretzschmaria deusta"),
        vernacular="brittle cinder",
        rank="named to species",
        certainty="fits well",
        according_to="current European authors",
        determined_by=ROSA,
        determined_on=date(2026, 10, 6),
        means=Means(
            tree="It causes a soft rot of roots and butt; the wood becomes brittle while the crown stays green."
        ),
        photos=(Photo(image=picture(colour="#222222"), view="place", caption="at the flare of the beech"),),
        evidence=(
            Evidence(
                organ="body",
                character="width of the body",
                value="62 to 118",
                unit="mm",
                n=4,
                by="diagnostician",
                seen_on="material",
                letter_mm=(62, 118),
            ),
            Evidence(
                organ="body",
                character="surface of the body",
                value="black, brittle like charcoal",
                by="diagnostician",
                seen_on="material",
            ),
        ),
        tree_referral=True,
    )


def content(*kinds: KindReport, **changes: Any) -> ReportContent:
    """The report on the white button, or on `kinds`."""
    base = ReportContent(
        clinic=Clinic(
            name="Alder County Fungus Desk",
            address=("12 Example Road", "Alder, NY 00000"),
            phone="555-0100",
            email="desk@example.org",
            web="desk.example.org",
        ),
        code="26-0417",
        zone="America/New_York",
        issued_at=datetime(2026, 10, 6, 16, 50, tzinfo=ZONE),
        issued_by=ROSA,
        submission=Submission(
            code="26-0417",
            received_at=datetime(2026, 10, 5, 9, 12, tzinfo=ZONE),
            question=Question.EATING,
            condition="one button, stem cut above ground, in cling film",
            how_it_came="brought to the desk",
            collected_on=date(2026, 10, 4),
            told=(("what they called it", "field mushroom"), ("where", "under an oak in our lawn")),
        ),
        client=Party(role="client", name="Sam Finder", contact=("3 Sample Lane, Alder, NY 00000", "555-0123")),
        kinds=kinds or (button(),),
        formal=Formal(
            methods=(
                "Eye and hand lens on the fresh material",
                "Spores in water at 1000×, calibrated stage micrometer",
            ),
            performed=(date(2026, 10, 5), date(2026, 10, 6)),
            deviations=("Spores were taken from the gills, not from a print.",),
        ),
    )
    return replace(base, **changes)


def asking(question: Question, **changes: Any) -> Submission:
    return replace(content().submission, question=question, **changes)


def pages(pdf: bytes) -> list[str]:
    """The text of each page as pypdf reads it, spaces and line ends made one."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def whole(pdf: bytes) -> str:
    return " ".join(pages(pdf))


def rendered(pdf: bytes, dpi: float) -> list[Image.Image]:
    """Each page as a picture, by PDFium."""
    document = pdfium.PdfDocument(pdf)
    return [document[i].render(scale=dpi / 72).to_pil().convert("RGB") for i in range(len(document))]
