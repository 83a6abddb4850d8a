"""Damaged STEP files, each from one number: bytes changed, cut short, numbers out of range, brackets nested."""

import re

import numpy as np

KINDS = ("bytes", "short", "numbers", "words", "nested", "labels", "swapped")
NUMBERS = (
    "1.E400",
    "-1.E400",
    "NAN",
    "INF",
    "1.E308",
    "0.",
    "-1.",
    "1E",
    "$",
    "*",
    "",
    "99999999999999999999",
)


def damaged(text: str, seed: int) -> bytes:
    """The text with damage of one kind."""
    rng = np.random.default_rng([7, seed])
    kind = KINDS[seed % len(KINDS)]
    start = text.index("DATA;")
    if kind == "short":
        return text[: int(rng.integers(start, len(text)))].encode()
    if kind == "bytes":
        data = bytearray(text.encode())
        for at in rng.integers(start, len(data), int(rng.integers(1, 12))):
            data[at] = int(rng.integers(0, 256))
        return bytes(data)
    if kind == "numbers":
        places = [m.span() for m in re.finditer(r"-?\d+\.(?:\d*(?:E[+-]?\d+)?)", text[start:])]
        return _replaced(
            text, start, places, [str(w) for w in rng.choice(NUMBERS, int(rng.integers(1, 6)))], rng
        )
    if kind == "words":
        places = [m.span() for m in re.finditer(r"\b[A-Z_]{4,}(?=\()", text[start:])]
        words = [text[start + a : start + b] for a, b in places]
        return _replaced(
            text, start, places, [str(w) for w in rng.choice(words, int(rng.integers(1, 6)))], rng
        )
    if kind == "labels":
        places = [m.span() for m in re.finditer(r"#\d+", text[start:])]
        labels = [f"#{rng.integers(1, 2 * len(places))}" for _ in range(int(rng.integers(1, 6)))]
        return _replaced(text, start, places, labels, rng)
    if kind == "swapped":
        lines = text.splitlines(keepends=True)
        for _ in range(int(rng.integers(1, 6))):
            a, b = rng.integers(len(lines) // 10, len(lines) - 2, 2)
            lines[a], lines[b] = lines[b], lines[a]
        return "".join(lines).encode()
    deep = int(rng.choice([10, 1000, 200_000]))
    at = text.index("(", int(rng.integers(start, len(text) - 200)))
    return (text[:at] + "(" * deep + ")" * int(rng.choice([0, deep])) + text[at:]).encode()


def _replaced(
    text: str, start: int, places: list[tuple[int, int]], words: list[str], rng: np.random.Generator
) -> bytes:
    """Words put in the place of others, at random."""
    chosen = sorted(rng.choice(len(places), min(len(places), len(words)), replace=False), reverse=True)
    for number, word in zip(chosen, words, strict=False):
        a, b = (start + end for end in places[number])
        text = text[:a] + word + text[b:]
    return text.encode()
