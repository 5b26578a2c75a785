"""One tablet that goes from hand to hand in the browser: each method is what somebody does with it.

Used by the stories in tests/browser. Owns how the pages are pressed; the stories say what is to come of it.
"""

from __future__ import annotations

import io
import re

import pypdfium2
import zxingcpp
from playwright.sync_api import expect

LETTERS = {  # the word FILLET, of strokes 24 mm wide and 100 mm high; y down, as SVG has it
    "F": "h66v24h-42v16h32v22h-32v38h-24z",
    "I": "h24v100h-24z",
    "L": "h24v76h40v24h-64z",
    "L again": "h24v76h40v24h-64z",
    "E": "h66v22h-42v17h34v22h-34v17h42v22h-66z",
    "T": "h72v24h-24v76h-24v-76h-24z",
}
PINS = {"Owner": "2604", "Ines": "5511", "Milo": "7302"}


class Walk:
    """One tablet that goes from hand to hand; each method is what somebody does with it."""

    def __init__(self, page, address, shop, clock):
        self.page, self.address, self.shop, self.clock = page, address, shop, clock

    # Getting about ---------------------------------------------------------------------------------------------------

    def to(self, place: str) -> None:
        self.page.locator(".title-block nav").get_by_role(
            "link", name=re.compile(f"^{place}")
        ).click()
        expect(self.page.locator(".title-block nav a[aria-current]")).to_contain_text(place)

    def press(self, words: str | re.Pattern) -> None:
        self.page.get_by_role("button", name=words, exact=isinstance(words, str)).first.click()

    def says(self, words: str) -> None:
        expect(self.page.locator("#says")).to_contain_text(words)

    def stands_large(self, words: str | re.Pattern) -> None:
        """The next thing to do, on the bench."""
        expect(self.page.locator(".bench-next .verdict")).to_contain_text(words)

    def type_pin(self, pin: str) -> None:
        for digit in pin:
            self.page.get_by_role("button", name=digit, exact=True).click()
        self.page.locator(".keypad .enter").click()

    def hand_to(self, name: str) -> None:
        self.page.locator(".title-block .who").click()
        self.sign_in(name)

    def sign_in(self, name: str) -> None:
        self.page.get_by_role("link", name=re.compile(f"^{name}")).click()
        self.type_pin(PINS[name])
        expect(self.page.locator(".title-block .who")).to_contain_text(name)

    # The shop --------------------------------------------------------------------------------------------------------

    def first_visit(self) -> None:
        self.page.goto(self.address)
        expect(self.page.get_by_role("heading")).to_have_text("First visit")
        self.type_pin(PINS["Owner"])
        expect(self.page.locator(".title-block .who")).to_contain_text("Owner")

    def add(self, name: str, role: str) -> None:
        self.to("Office")
        self.page.get_by_role("link", name=re.compile("^People")).click()
        self.page.locator("form [name=name]").fill(name)
        self.page.locator(f".choice:has([value={role}])").click()
        self.press("Add")
        self.says(f"{name} is added")
        self.type_pin(PINS[name])
        self.says(f"{name} has a new PIN")

    def settle(self) -> None:
        self.to("Office")
        self.page.get_by_role("link", name=re.compile("^Settings")).click()
        self.page.locator("[name=address]").fill(self.address.removeprefix("http://"))
        self.page.locator("[name=nest_seconds]").fill("1")
        self.press("Save")
        expect(self.page.locator("#says")).not_to_be_empty()

    def take_in(self, svg: str, says: str) -> None:
        self.to("Jobs")
        self.page.get_by_role("link", name="New job").click()
        drawing = {"name": "fillet.svg", "mimeType": "image/svg+xml", "buffer": svg.encode()}
        self.page.locator("input[type=file]").set_input_files(drawing)
        self.press("Read the drawing")
        expect(self.page.locator(".sign-words")).to_contain_text(says)
        for colour in self.page.locator("fieldset.colour").all():
            colour.locator(".stock-choice", has_text="New").click()
        self.page.locator("[name=customer]").fill("Chandler's, Pier 2")
        self.page.locator("[name=quantity]").fill("1")
        self.page.locator(".due .choice").nth(1).click()
        self.press("Add the job")
        expect(self.page.locator("progress")).to_be_visible()
        expect(self.page.get_by_role("heading", level=1)).to_contain_text("J-1001", timeout=60_000)
        expect(self.page.locator(".job-acts .verdict")).to_contain_text("0 of ")

    # Sheets ----------------------------------------------------------------------------------------------------------

    def open_sheet(self, number: str) -> None:
        self.to("Sheets")
        self.page.locator("#sheets a", has_text=number).first.click()
        expect(self.page.get_by_role("heading", level=1)).to_have_text(number)

    def follow_a_label(self) -> str:
        """Fetches the labels of the sheet that is looked at, reads one, goes where it leads; gives the code on it."""
        self.page.get_by_role("link", name="Labels", exact=True).click()
        form = self.page.locator("form#print")
        layout = form.locator("[name=layout]").input_value()
        told = self.page.request.get(
            self.address + form.get_attribute("action"), params={"layout": layout}
        )
        assert told.headers["content-type"] == "application/pdf"
        paper = pypdfium2.PdfDocument(io.BytesIO(told.body()))[0].render(scale=203 / 72).to_pil()
        read = [found.text for found in zxingcpp.read_barcodes(paper)]
        assert len(set(read)) == 7
        assert all(one.startswith(self.address.upper() + "/P/") for one in read)
        self.page.goto(read[0])
        code = read[0].rsplit("/", 1)[1]
        expect(self.page.locator(".piece-head .code")).to_have_text(f"{code[:4]} {code[4:]}")
        return code

    def start_and_take_off(self) -> None:
        self.press("Start")
        expect(self.page.locator("button.next")).to_have_text("Off the table")
        self.clock.forward(minutes=20)
        self.press("Off the table")

    def tap_lost(self, name: str) -> None:
        piece = (
            self.page.locator("svg.blank g.piece")
            .and_(self.page.get_by_label(re.compile(rf"\b{name}\b")))
            .first
        )
        piece.click()
        expect(self.page.locator("button.next")).to_have_text("1 lost: mark the other 6 cut")
        expect(self.page.locator("svg.blank path.lost")).to_have_count(1)
        expect(self.page.locator("svg.blank path.cross")).to_have_count(1)
        expect(self.page.locator(".told")).to_contain_text("is queued with tabs")

    def nest_the_recut(self) -> str:
        """Gives the recut's code. Its sheet is what is looked at then."""
        self.to("Recuts")
        row = self.page.locator("#recuts .rows li")
        expect(row).to_have_count(1)
        expect(row).to_contain_text("Recut 1")
        code = row.locator(".figures").inner_text().replace(" ", "")
        self.press(re.compile("^Nest 1 recut of"))
        expect(self.page.locator(".sheet-page button.next, #recuts .act").first).to_be_visible(
            timeout=60_000
        )
        return code

    def trim(self, code: str) -> None:
        self.to("Scan")
        self.page.get_by_role("link", name="Tabs trimmed").click()
        expect(self.page.locator("[data-scan]")).to_be_focused()
        self.page.keyboard.type(code + "\n")
        expect(self.page.locator(".answer").first).to_contain_text("is ready")

    # The bench -------------------------------------------------------------------------------------------------------

    def go_to_the_bench(self) -> None:
        self.to("Bench")
        self.page.locator(".bench-ready .tile").first.click()

    def lay_out(self, by_tile: int) -> None:
        """Sets `by_tile` parts out by their rows, the others in the drawing."""
        places = self.page.locator(".places button.place")
        expect(places.first).to_be_visible()
        count = places.count()
        for at in range(count):
            place = places.nth(at)
            if at < by_tile:
                place.click()
            else:
                self.touch_middle_of(f"#piece-{place.get_attribute('value')}")
            expect(
                self.page.locator(".place.is-right").or_(self.page.locator(".glue-figures"))
            ).to_have_count(at + 1 if at + 1 < count else 1)

    def touch_middle_of(self, piece: str) -> None:
        """As a finger does: the middle of an L is beside it, in its corner, and counts all the same."""
        box = self.page.locator(piece).bounding_box()
        self.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def glue(self, level: int) -> None:
        self.stands_large(f"Ready to glue level {level}")
        expect(self.page.locator(".caution")).to_contain_text("Eye protection")
        for label, figure in (("Batch", "C-71"), ("Temperature, °C", "23"), ("Humidity, %", "45")):
            self.page.get_by_label(label).fill(figure)
        self.page.get_by_role("radio").first.check()
        self.press("Glued: start the cure")
        self.stands_large("Curing until")
        expect(self.page.locator(".countdown")).to_have_text("24 h 00 min")

    def expect_shut(self, step: str, by: str) -> None:
        self.page.locator(".bench-steps a", has_text=step).click()
        expect(self.page.locator(".bench-next h2")).to_have_text(f"{step} is waiting on")
        expect(self.page.locator(".bench-next .rows")).to_contain_text(by)
        expect(self.page.locator(".bench-next button:not([disabled])")).to_have_count(0)

    def wait_until_two_seconds_are_left(self) -> None:
        """Somebody looks in now and then: after 12 idle hours the tablet would ask who is there."""
        bench = self.page.url.split("?")[0]
        for time in ({"hours": 11}, {"hours": 11}, {"hours": 1, "minutes": 59, "seconds": 58}):
            self.clock.forward(**time)
            self.page.goto(bench)
            expect(self.page.locator(".countdown")).to_be_visible()

    def finish(self, words: str, then: str | re.Pattern) -> None:
        self.press(words)
        self.stands_large(then)
