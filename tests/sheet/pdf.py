"""Where the pictures of a PDF file lie: enough of ISO 32000-1 for what Chromium writes."""

from __future__ import annotations

import re
import zlib

Matrix = tuple[float, float, float, float, float, float]
Box = tuple[float, float, float, float]
UNIT: Matrix = (1, 0, 0, 1, 0, 0)
TOKEN = re.compile(rb"/[^\s/<>\[\]()]+|[-+.\d]+|[A-Za-z*'\"]+|\[|\]|<<|>>|\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f\s]*>")


def times(a: Matrix, b: Matrix) -> Matrix:
    """First a, then b (8.3.3)."""
    return (
        a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5],
    )


class Page:
    """Size in points and the boxes of its raster pictures."""

    def __init__(self, size: tuple[float, float], pictures: list[Box]):
        self.size, self.pictures = size, pictures


class Pdf:
    """The pages of a file."""

    def __init__(self, data: bytes):
        self.objects = {
            int(number): body for number, body in re.findall(rb"(?s)(\d+) 0 obj\b(.*?)\bendobj", data)
        }
        self.pages = [
            self.page(body) for body in self.objects.values() if re.search(rb"/Type\s*/Page\b", body)
        ]

    def stream(self, number: int) -> bytes:
        body = self.objects[number]
        # By its length: the last byte of what is packed may look like the end of a line.
        length = re.search(rb"/Length\s+(\d+)(\s+0 R)?", body)
        size = int(self.objects[int(length.group(1))] if length.group(2) else length.group(1))
        start = re.search(rb"\bstream\r?\n", body).end()
        content = body[start : start + size]
        return zlib.decompress(content) if b"/FlateDecode" in body else content

    def names(self, body: bytes) -> dict[bytes, int]:
        """Pictures and forms by the name that a content stream uses."""
        resources = re.search(rb"/Resources\s+(\d+) 0 R", body)
        if resources:
            body = self.objects[int(resources.group(1))]
        listed = re.search(rb"(?s)/XObject\s*<<(.*?)>>", body)
        return {n: int(r) for n, r in re.findall(rb"(/\S+)\s+(\d+) 0 R", listed.group(1))} if listed else {}

    def page(self, body: bytes) -> Page:
        left, bottom, right, top = map(float, re.search(rb"/MediaBox\s*\[([^\]]*)\]", body).group(1).split())
        content = int(re.search(rb"/Contents\s+(\d+) 0 R", body).group(1))
        return Page((right - left, top - bottom), self.pictures(content, self.names(body), UNIT))

    def pictures(self, content: int, names: dict[bytes, int], base: Matrix) -> list[Box]:
        """Boxes of the unit squares that `Do` fills with a picture (8.9.5)."""
        found: list[Box] = []
        at, saved, numbers = base, [], []
        for token in TOKEN.findall(self.stream(content)):
            if re.fullmatch(rb"[-+.\d]+", token):
                numbers.append(float(token))
                continue
            if token == b"q":
                saved.append(at)
            elif token == b"Q":
                at = saved.pop()
            elif token == b"cm":
                at = times(tuple(numbers[-6:]), at)
            elif token in names:
                body = self.objects[names[token]]
                if re.search(rb"/Subtype\s*/Image\b", body):
                    corners = [times((1, 0, 0, 1, x, y), at)[4:] for x in (0, 1) for y in (0, 1)]
                    across, up = zip(*corners)
                    found.append((min(across), min(up), max(across), max(up)))
                elif re.search(rb"/Subtype\s*/Form\b", body):
                    own = re.search(rb"/Matrix\s*\[([^\]]*)\]", body)
                    move = tuple(map(float, own.group(1).split())) if own else UNIT
                    found += self.pictures(names[token], self.names(body), times(move, at))
            numbers = []
        return found
