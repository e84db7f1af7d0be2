"""The score grid as a person at the keyboard meets it."""

from typing import Any

from playwright.sync_api import Page, expect

from tests.web.score_grids import Scene

LOST = r"ERR_INTERNET_DISCONNECTED|ERR_FAILED"


class Grid:
    """A page with the open grid, and the keys pressed on it."""

    def __init__(self, page: Page, scene: Scene) -> None:
        self.page, self.scene, self.pressed = page, scene, 0
        # Looked up now: while the server writes, a database in memory answers nobody else.
        self.ids = [scene.row(number).public_id for number in range(len(scene.pupils))]

    def open(self) -> "Grid":
        self.page.goto(self.scene.url())
        expect(self.page.locator("[data-find]")).to_be_visible()
        return self

    def row(self, number: int) -> Any:
        return self.page.locator(f'[data-row="{self.ids[number]}"]')

    def box(self, number: int, name: str = "first") -> Any:
        return self.row(number).locator(f'input[name^="{name}-"]')

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1

    def type(self, text: str) -> None:
        """Key by key; `keyboard.type` knows a letter of any keyboard."""
        for sign in text:
            self.page.keyboard.type(sign)
            self.pressed += 1

    def enter(self, first: int, wrong: int) -> None:
        self.type(str(first))
        self.press("Enter")
        self.type(str(wrong))
        self.press("Enter")

    def left(self, number: int) -> None:
        expect(self.page.locator("[data-left]")).to_have_text(str(number))

    def saved(self, number: int) -> None:
        """Every row typed so far has been answered, `number` of them with an accuracy."""
        expect(self.page.locator("form[data-scores]")).to_have_attribute("data-unsent", "0")
        expect(self.page.locator("tr[data-row] [data-accuracy]:not(:empty)")).to_have_count(number)

    def kept(self, number: int) -> None:
        expect(self.page.get_by_text("kept here, waiting for the connection")).to_have_count(number)

    def stored(self) -> list[str]:
        return self.page.evaluate("Object.entries(localStorage).map(([name, text]) => name + ' ' + text)")


def counts(scene: Scene) -> list[tuple[Any, ...]]:
    rows = scene.check.attempts.order_by("pupil__sort_name")
    return list(rows.values_list("status", "correct", "wrong"))


def paste(grid: Grid, number: int, text: str, name: str = "first") -> None:
    """What a spreadsheet puts on the clipboard, pasted into a box."""
    grid.box(number, name).evaluate(
        """(box, text) => {
            box.focus();
            const clipboardData = new DataTransfer();
            clipboardData.setData("text/plain", text);
            box.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
        }""",
        text,
    )
