"""Page tree: a page's elements and words, for tests."""

from __future__ import annotations

from html.parser import HTMLParser

from preview.sheets.answer.blocks import Answer, Block

# Source: HTML Living Standard, 13.1.2, void elements.
VOID = set("area base br col embed hr img input link meta source track wbr".split())  # noqa: SIM905


class Tree(HTMLParser):
    """Every element with its attributes, and what text stands in what."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[tuple[str, str]] = []
        self.feed(page)
        self.close()
        assert not self.open, self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        assert len(attrs) == len(dict(attrs)), (tag, attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.words.append((self.open[-1] if self.open else "", data))

    def of(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]

    def text(self) -> str:
        return " ".join(words for _, words in self.words).replace("\N{NO-BREAK SPACE}", " ")


def answer(*blocks: Block, title: str = "Moon directions", about: str = "Setup wide, ISO 800") -> Answer:
    return Answer("moon", title, about, blocks)
