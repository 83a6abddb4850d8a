"""Pages of a PDF as PDFium, a reader that knows nothing of this library, shows them."""

from functools import cached_property
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium

MM_PER_POINT = 25.4 / 72


class Pages:
    """A file, opened once."""

    def __init__(self, path: Path):
        self.document = pdfium.PdfDocument(path)

    def __len__(self) -> int:
        return len(self.document)

    def size_mm(self, number: int) -> np.ndarray:
        return np.array(self.document[number - 1].get_size()) * MM_PER_POINT

    @cached_property
    def texts(self) -> list[str]:
        """What each page says, spaces and line ends as single spaces."""
        return [" ".join(page.get_textpage().get_text_range().split()) for page in self.document]

    def ink(self, number: int, dpi: float) -> "Ink":
        return Ink(self.document[number - 1], dpi)


class Ink:
    """A page as a printer puts it on paper: darkness from 0 to 255, in millimetres from the lower left corner."""

    def __init__(self, page: pdfium.PdfPage, dpi: float):
        shown = page.render(scale=dpi / 72, grayscale=True).to_numpy()
        self.dark = 255 - shown.reshape(shown.shape[0], shown.shape[1])[::-1]
        # The picture has whole pixels; the page is stretched to them.
        self.per_mm = np.array([shown.shape[1], shown.shape[0]]) / (np.array(page.get_size()) * MM_PER_POINT)

    def at(self, points: np.ndarray) -> np.ndarray:
        """Darkness from 0 to 1 at points, shape (..., 2) [mm], between pixels by straight interpolation."""
        x, y = np.moveaxis(np.asarray(points) * self.per_mm - 0.5, -1, 0)
        i, j = np.floor(x).astype(int), np.floor(y).astype(int)
        u, v = x - i, y - j
        i, j = i.clip(0, self.dark.shape[1] - 2), j.clip(0, self.dark.shape[0] - 2)
        d = self.dark
        low = d[j, i] * (1 - u) + d[j, i + 1] * u
        return ((1 - v) * low + v * (d[j + 1, i] * (1 - u) + d[j + 1, i + 1] * u)) / 255.0

    def runs(self, start: np.ndarray, end: np.ndarray, step_mm: float = 0.02) -> np.ndarray:
        """Middles of the dark stretches on the way from one point to another, as distances from the start [mm]."""
        way = np.asarray(end, float) - start
        length = float(np.hypot(*way))
        s = np.arange(0.0, length, step_mm)
        dark = self.at(np.asarray(start) + s[:, None] / length * way)
        edges = np.flatnonzero(np.diff(np.concatenate([[0], (dark > 0.25).astype(int), [0]])))
        return np.array(
            [np.average(s[a:b], weights=dark[a:b]) for a, b in zip(edges[::2], edges[1::2], strict=True)]
        )

    def centre(self, near: np.ndarray, half_mm: float) -> tuple[np.ndarray, float]:
        """Centre of the ink in a square, shape (2,) [mm], and how much there is [mm2]."""
        low = np.round((np.asarray(near) - half_mm) * self.per_mm).astype(int)
        high = np.round((np.asarray(near) + half_mm) * self.per_mm).astype(int)
        part = self.dark[low[1] : high[1], low[0] : high[0]] / 255.0
        if not part.any():
            return np.asarray(near, float), 0.0
        y, x = np.mgrid[low[1] : high[1], low[0] : high[0]] + 0.5
        middle = np.array([np.average(x, weights=part), np.average(y, weights=part)]) / self.per_mm
        return middle, float(part.sum() / self.per_mm.prod())
