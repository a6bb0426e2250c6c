"""Every image by the IIIF Image API 3.0 at level 0: whole, in a few sizes, made once with Pillow.

A viewer asks for the size that it needs, a list for the smallest as a thumbnail; nothing is made
when they ask.
"""

import io
from collections.abc import Iterator
from urllib.parse import quote

from PIL import Image

from glost.publish.data.described import json_bytes
from glost.publish.site.images import Images, PageImage

CONTEXT = "http://iiif.io/api/image/3/context.json"
_SMALLEST = 160
"""The longer side of the smallest size, in pixels, is at least this."""
_QUALITY = 85
"""Of JPEG, of 100."""

Json = dict[str, object]
Size = tuple[int, int]


def sizes(picture: PageImage) -> list[Size]:
    """Return the sizes an image is offered in, the smallest first: each is half the next."""
    found = [(picture.width, picture.height)]
    while max(found[0]) >= 2 * _SMALLEST:
        width, height = found[0]
        found.insert(0, (max(1, round(width / 2)), max(1, round(height / 2))))
    return found


def place(base: str, picture: PageImage) -> str:
    """Return the IRI of an image's service."""
    return f"{base}iiif/image/{quote(picture.file.removeprefix('images/'))}"


def sized(base: str, picture: PageImage, size: Size) -> Json:
    """Describe an image in one of its sizes, as a thumbnail."""
    return {
        "id": f"{place(base, picture)}/full/{size[0]},{size[1]}/0/default.jpg", "type": "Image",
        "format": "image/jpeg", "width": size[0], "height": size[1],
        "service": [service(base, picture)],
    }  # fmt: skip


def service(base: str, picture: PageImage) -> Json:
    """Name the service of an image."""
    return {"id": place(base, picture), "type": "ImageService3", "profile": "level0"}


def image_files(base: str, images: Images) -> Iterator[tuple[str, bytes]]:
    """Yield of every image its ``info.json``, and the image in each size as JPEG."""
    for file, picture in images.all.items():
        folder = f"iiif/image/{file.removeprefix('images/')}"
        info: Json = {
            "@context": CONTEXT, "id": place(base, picture), "type": "ImageService3",
            "protocol": "http://iiif.io/api/image", "profile": "level0",
            "width": picture.width, "height": picture.height,
            "sizes": [{"width": width, "height": height} for width, height in sizes(picture)],
        }  # fmt: skip
        yield f"{folder}/info.json", json_bytes(info)
        with Image.open(picture.path) as opened:
            whole = _flat(opened)
        for size in sizes(picture):
            made = whole if size == whole.size else whole.resize(size, Image.Resampling.LANCZOS)
            content = _jpeg(made)
            yield f"{folder}/full/{size[0]},{size[1]}/0/default.jpg", content
            if size == whole.size:
                yield f"{folder}/full/max/0/default.jpg", content


def _flat(image: Image.Image) -> Image.Image:
    """Return an image in the colours of JPEG, on white where it can be seen through."""
    seen = image.convert("RGBA")
    ground = Image.new("RGBA", seen.size, "white")
    return Image.alpha_composite(ground, seen).convert("RGB")


def _jpeg(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()
