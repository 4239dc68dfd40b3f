"""What the shop may set about the paper, and what follows from it."""

from dataclasses import dataclass

_PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_MM = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Paper and sender. An empty ``shop_name`` prints "not given" and signs with the issuer."""

    page_size: str = "A4"
    shop_name: str = ""

    def __post_init__(self) -> None:
        if self.page_size not in _PAPER_MM:
            raise ValueError(f"page size is A4 or Letter, got {self.page_size!r}")

    @property
    def page_width_mm(self) -> float:
        return _PAPER_MM[self.page_size][0]

    @property
    def page_height_mm(self) -> float:
        return _PAPER_MM[self.page_size][1]

    @property
    def text_width_mm(self) -> float:
        return self.page_width_mm - 2 * MARGIN_MM
