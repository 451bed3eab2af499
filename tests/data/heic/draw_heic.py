"""The HEIC files of this folder, as phones write them. Run by hand where pillow-heif is installed:
it brings an encoder, which the program does not need."""

import sys
from pathlib import Path

import pillow_heif
from PIL import Image, ImageDraw

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from profiles import swapped_primaries_profile

HERE = Path(__file__).parent


def main() -> None:
    picture = Image.new("RGB", (64, 48), (40, 70, 160))
    pen = ImageDraw.Draw(picture)
    pen.rectangle((0, 0, 31, 23), (200, 40, 45))
    pen.rectangle((32, 24, 63, 47), (240, 230, 210))
    pillow_heif.from_pillow(picture).save(HERE / "quarters.heic", quality=90)
    exif = Image.Exif()
    exif[0x0112] = 6
    turned = picture.transpose(Image.Transpose.ROTATE_90)
    pillow_heif.from_pillow(turned).save(HERE / "turned.heic", quality=90, exif=exif.tobytes())
    picture.info["icc_profile"] = swapped_primaries_profile(2.2)
    pillow_heif.from_pillow(picture).save(HERE / "profile.heic", quality=90)


if __name__ == "__main__":
    main()
