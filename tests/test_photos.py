"""Pictures of plants: kept without what they tell, shown, taken off, put back."""

import io
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from PIL import Image, PngImagePlugin

from inventory import operations
from inventory.errors import LedgerError
from inventory.models import Photo
from nursery import pictures
from nursery.kept_files import kept_file
from nursery.pictures import NoPicture, fit_to_show
from tests.entering import as_grower
from tests.factories import NurseryFactory, PlantFactory, UserFactory, lot_holding

# Tags of the Exif standard (CIPA DC-008) and TIFF 6.0, from memory.
ORIENTATION, GPS, MAKE = 0x0112, 0x8825, 0x010F
SIX = 6  # The camera was turned: what is stored on its side stands upright by 90 degrees.


def taken(size=(60, 40), kind="JPEG", colour="green", **more) -> bytes:
    """Return a picture as a camera stores it."""
    out = io.BytesIO()
    Image.new(more.pop("mode", "RGB"), size, colour).save(out, kind, **more)
    return out.getvalue()


def with_traces() -> bytes:
    """Return a picture that tells where it was taken, lying on its side."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE] = SIX, "Shutterwick"
    exif.get_ifd(GPS).update({1: "N", 2: (48.0, 12.0, 30.0), 3: "E", 4: (11.0, 30.0, 0.0)})
    return taken(exif=exif, comment=b"behind the shed", dpi=(300, 300))


def opened(content):
    return Image.open(io.BytesIO(content))


def test_a_picture_is_upright_and_tells_nothing_of_place_or_camera():
    assert dict(opened(with_traces()).getexif().get_ifd(GPS)), "the scene has a place"
    made = fit_to_show(with_traces())

    for content in (made.large, made.small):
        picture = opened(content)
        assert picture.size == (40, 60)
        assert not picture.getexif()
        assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density",
                                     "progressive", "progression"}  # fmt: skip
        assert b"shed" not in content and b"Shutterwick" not in content and b"Exif" not in content


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_comes_in_two_sizes(kind):
    made = fit_to_show(taken((2400, 1200), kind))

    assert (made.width, made.height) == opened(made.large).size == (1600, 800)
    assert opened(made.small).size == (360, 180)
    assert opened(made.large).format == "JPEG"


def test_what_one_can_look_through_lies_on_white():
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "behind the shed")
    made = fit_to_show(taken(kind="PNG", mode="RGBA", colour=(0, 0, 0, 0), pnginfo=text))

    assert opened(made.large).getpixel((5, 5)) == (255, 255, 255)
    assert b"shed" not in made.large


@pytest.mark.parametrize(
    "content",
    [b"", b"GIF89a", b"<svg xmlns='http://www.w3.org/2000/svg'/>", taken(kind="GIF"),
     taken((300, 300))[:400], b"%PDF-1.7"],
    ids=["empty", "gif head", "svg", "gif", "half", "pdf"],
)  # fmt: skip
def test_what_is_no_picture_is_refused_in_plain_words(content):
    with pytest.raises(NoPicture, match="JPEG, PNG or WebP"):
        fit_to_show(content)


@pytest.mark.parametrize("side", [9_000, 12_000, 20_000], ids=["above ours", "warned", "bomb"])
def test_a_small_file_of_too_many_points_is_refused(side):
    content = taken((side, side), "PNG", mode="1", colour=0)
    assert len(content) < 200_000

    with pytest.raises(NoPicture, match="64 million points"):
        fit_to_show(content)


def test_a_file_that_is_too_large_is_refused():
    with pytest.raises(NoPicture, match="12 MB"):
        fit_to_show(bytes(pictures.MOST_BYTES + 1))


@pytest.fixture
def plant(db):
    NurseryFactory()
    return PlantFactory()


def test_a_picture_is_kept_once_and_found_by_its_name(plant):
    request_id = uuid4()
    first = operations.add_photo(plant=plant, content=taken(), request_id=request_id)
    again = operations.add_photo(plant=plant, content=taken(), request_id=request_id)

    assert first == again and Photo.objects.count() == 1
    assert kept_file(first.large).exists() and kept_file(first.small).exists()


def test_a_picture_of_a_lot_shows_its_plant_and_no_other(plant):
    lot = lot_holding(3, plant=plant)
    photo = operations.add_photo(plant=plant, lot=lot, content=taken(), request_id=uuid4())

    assert photo.plant == plant
    with pytest.raises(LedgerError, match="not Buxus"):
        other = PlantFactory()
        operations.add_photo(plant=other, lot=lot, content=taken(), request_id=uuid4())


@pytest.mark.parametrize("wrong", [{"width": 0}, {"large": ""}, {"small": ""}])
def test_the_database_refuses_half_a_picture(plant, wrong):
    facts = {"large": "a", "small": "b", "width": 2, "height": 2, "plant": plant}

    with pytest.raises(IntegrityError), transaction.atomic():
        Photo.objects.create(**facts | wrong, request_id=uuid4())


def hand_in(client, plant, content, name="bench.jpg"):
    file = SimpleUploadedFile(name, content)
    address = f"/plants/{plant.pk}/photos/add/"
    sent = {"picture": file, "request_id": str(uuid4())}
    return client.post(address, sent, follow=True).content.decode()


def test_a_picture_handed_in_shows_on_its_plant_and_goes_by_undo(client, plant):
    page = hand_in(as_grower(client), plant, with_traces())
    photo = Photo.objects.get()
    shown = client.get(f"/photos/{photo.large}")

    assert f"/photos/{photo.small}" in page and 'width="40" height="60"' in page
    assert shown.content == kept_file(photo.large).read_bytes()
    client.post(f"/photos/{photo.pk}/remove/")
    assert client.get(f"/photos/{photo.large}").status_code == 404
    client.post(f"/photos/{photo.pk}/back/")
    assert photo.small in client.get(f"/plants/{plant.pk}/").content.decode()


def test_a_bad_picture_is_refused_on_the_page_and_nothing_is_kept(client, plant):
    page = hand_in(as_grower(client), plant, b"no picture")

    assert "This is no picture" in page
    assert "The file is empty" in hand_in(client, plant, b"")
    assert not Photo.objects.exists()


def test_a_lots_picture_stands_with_the_lot(client, plant):
    lot = lot_holding(3, plant=plant)
    as_grower(client)
    file = SimpleUploadedFile("a.png", taken(kind="PNG"))
    sent = {"picture": file, "request_id": str(uuid4())}
    page = client.post(f"/lots/{lot.pk}/photos/add/", sent, follow=True).content.decode()

    assert Photo.objects.get(lot=lot).small in page
    assert "Add a picture" in page


def test_pictures_ask_for_a_login_and_for_leave(client, plant):
    photo = operations.add_photo(plant=plant, content=taken(), request_id=uuid4())
    assert client.get(f"/photos/{photo.large}").status_code == 302
    client.force_login(UserFactory())

    assert client.get(f"/photos/{photo.large}").status_code == 200
    assert client.get("/photos/..%2Fsecret").status_code == 404
    assert client.get(f"/plants/{plant.pk}/photos/add/").status_code == 403
    assert client.post(f"/photos/{photo.pk}/remove/").status_code == 403
