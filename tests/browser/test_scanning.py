"""Scanning with a camera: Chromium is given a film of a label instead of one."""

import io
import re

import pytest
import segno
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from PIL import Image
from playwright.sync_api import expect

from tests.conftest import CHROMIUM, CHROMIUM_ARGUMENTS
from tests.factories import NurseryFactory, PlantFactory, UserFactory, give_price, lot_holding

pytestmark = pytest.mark.django_db(transaction=True)
WIDTH, HEIGHT, FRAMES = 640, 480, 20
CODE = "25-TX-0123"
ADDRESS = f"http://192.168.1.20:8000/s/{CODE}/"


def picture(text=ADDRESS) -> Image.Image:
    """Draw a label's code as a camera sees it: small in a grey picture, a little turned."""
    drawn = io.BytesIO()
    segno.make(text, error="m", micro=False).save(drawn, kind="png", scale=6, border=4)
    code = Image.open(drawn).convert("L").rotate(7, expand=True, fillcolor=255)
    scene = Image.new("L", (WIDTH, HEIGHT), 150)
    scene.paste(code, ((WIDTH - code.width) // 2, (HEIGHT - code.height) // 2))
    return scene


def film(path):
    """Write a film that shows the label for two seconds and hides it for two, over and over."""
    nothing = Image.new("L", (WIDTH, HEIGHT), 150)
    grey = bytes([128]) * (WIDTH * HEIGHT // 2)
    with path.open("wb") as file:
        file.write(f"YUV4MPEG2 W{WIDTH} H{HEIGHT} F10:1 Ip A1:1 C420jpeg\n".encode())
        for scene in [picture()] * FRAMES + [nothing] * FRAMES:
            file.write(b"FRAME\n" + scene.tobytes() + grey)
    return path


@pytest.fixture(scope="module")
def camera(chromium, tmp_path_factory):
    """Start a Chromium whose camera sees the film, and which lets pages use it."""
    seen = film(tmp_path_factory.mktemp("film") / "label.y4m")
    filming = [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={seen}",
    ]
    browser = chromium.browser_type.launch(
        executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS, *filming], handle_sigint=False
    )
    yield browser
    browser.close()


@pytest.fixture
def yew():
    NurseryFactory()
    lot = lot_holding(40, CODE, plant=PlantFactory(name="Taxus ×media 'Hicksii'"))
    lot_holding(5, "OLDER", plant=lot.plant, on=lot.began_on.replace(year=2020))
    give_price(lot, "14.50")
    return lot


def opened(browser, live_server, client, **more):
    client.force_login(UserFactory(is_superuser=True))
    size = {"width": 390, "height": 844}
    context = browser.new_context(base_url=live_server.url, viewport=size, **more)
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
    context.add_cookies([cookie])
    return context.new_page()


def test_a_label_before_the_camera_adds_its_plant_each_time_it_comes(
    camera, live_server, client, yew
):
    page = opened(camera, live_server, client, permissions=["camera"])
    complaints = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto("/sell/")

    page.get_by_role("button", name="Scan").click()
    number = page.locator(f"[name=n-{yew.plant_id}-{yew.container_id}-{yew.pk}]")
    expect(number).to_have_value(re.compile("[1-9]"), timeout=20_000)
    expect(page.get_by_text(f"By its label, from lot {CODE}.")).to_be_visible()
    expect(page.get_by_text(f"Read: {CODE}")).to_be_visible()
    # The film shows it anew every four seconds: as if a second plant were held up.
    so_far = int(number.input_value())
    expect(number).to_have_value(str(so_far + 1), timeout=20_000)

    assert Axe().run(page).response["violations"] == []
    page.get_by_role("button", name="Stop scanning").click()
    expect(page.locator("video")).to_be_hidden()
    assert complaints == []
    page.context.close()


def test_the_search_goes_to_the_lot_before_the_camera(camera, live_server, client, yew):
    page = opened(camera, live_server, client, permissions=["camera"])
    page.goto("/search/")

    page.get_by_role("button", name="Scan a label").click()

    page.wait_for_url(f"**/lots/{yew.pk}/", timeout=20_000)
    page.context.close()


def test_without_a_camera_a_photo_is_read(chromium, live_server, client, yew, tmp_path):
    page = opened(chromium, live_server, client)
    # Over plain http, as in many a nursery, a browser has no mediaDevices.
    page.add_init_script("Object.defineProperty(navigator, 'mediaDevices', {value: undefined})")
    page.goto("/sell/")
    picture().save(tmp_path / "label.jpg")

    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Scan").click()
    chooser.value.set_files(tmp_path / "label.jpg")

    number = page.locator(f"[name=n-{yew.plant_id}-{yew.container_id}-{yew.pk}]")
    expect(number).to_have_value("1", timeout=20_000)
    page.context.close()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_typed_code_works_with_and_without_scripts(scripts, chromium, live_server, client, yew):
    page = opened(chromium, live_server, client, java_script_enabled=scripts)
    page.goto("/sell/")

    for number in ("1", "2"):
        page.get_by_label("Code on a label").fill("25-tx-0123")
        page.get_by_label("Code on a label").press("Enter")
        field = page.locator(f"[name=n-{yew.plant_id}-{yew.container_id}-{yew.pk}]")
        expect(field).to_have_value(number)

    expect(page.get_by_label("Code on a label")).to_have_value("")
    page.context.close()


def test_a_refused_camera_says_what_to_do_instead(chromium, live_server, client, yew):
    page = opened(chromium, live_server, client)
    page.goto("/sell/")

    page.get_by_role("button", name="Scan").click()

    expect(page.get_by_text("Type the code instead.")).to_be_visible()
    page.context.close()
