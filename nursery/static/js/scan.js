// Read the codes of labels with the camera. A page has #scanner, and buttons [data-scan] that
// begin; one with data-goes leads to that address, any other takes the code into the sale.
// Without https a browser gives no camera: then a photo of the code is read instead.
// Where the browser cannot read codes itself, the decoder beside this file is loaded.
(() => {
  const scanner = document.getElementById("scanner");
  if (!scanner) return;

  const photo = document.getElementById("photo");
  const video = scanner.querySelector("video");
  const said = scanner.querySelector("[role=status]");
  const PAUSE = 120;
  // A code counts again once it was out of sight for so long, in milliseconds.
  const OUT_OF_SIGHT = 1000;
  let goes = "";
  let stream = null;
  let waiting = [];

  const newDetector = async () => {
    const asked = { formats: ["qr_code"] };
    const own = await globalThis.BarcodeDetector?.getSupportedFormats();
    if (own?.includes("qr_code")) return new globalThis.BarcodeDetector(asked);
    const { BarcodeDetector } = await import(scanner.dataset.decoder);
    return new BarcodeDetector(asked);
  };

  const codesIn = async (detector, picture) => {
    try {
      return (await detector.detect(picture)).map((found) => found.rawValue);
    } catch {
      return [];
    }
  };

  // ---- what a code does

  const standForm = () => document.getElementById("stand");

  // The page's own script may take the code; else the form asks the server.
  const addToSale = (code) => {
    const taken = new CustomEvent("label-read", { detail: { code }, cancelable: true });
    if (!document.dispatchEvent(taken)) return;
    waiting.push(code);
    if (waiting.length === 1) sendNext();
  };

  const sendNext = () => {
    const form = standForm();
    form.elements.lot_code.value = waiting[0];
    if (form.hasAttribute("hx-post")) {
      form.requestSubmit(form.elements.add);
    } else {
      const plain = Object.assign(document.createElement("input"), { type: "hidden", name: "plain", value: "yes" });
      form.append(plain);
      HTMLFormElement.prototype.submit.call(form);
    }
  };

  document.addEventListener("htmx:afterSettle", (event) => {
    showButtons();
    if (event.detail.target?.id !== "stand" && event.target.id !== "stand") return;
    waiting.shift();
    if (waiting.length) sendNext();
  });

  // A code that was typed goes the same way, whichever button or key sent it.
  document.addEventListener(
    "submit",
    (event) => {
      const typed = event.target.elements.lot_code;
      const code = typed?.value.trim();
      if (!code || waiting.length) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      typed.value = "";
      // A form cannot be sent while it is telling that it is being sent.
      setTimeout(() => addToSale(code));
    },
    true,
  );

  const take = (code) => {
    navigator.vibrate?.(60);
    said.textContent = `Read: ${code.replace(/\/+$/, "").split("/").pop()}`;
    if (goes) location.assign(goes + encodeURIComponent(code));
    else addToSale(code);
  };

  // ---- the camera

  const stop = () => {
    stream?.getTracks().forEach((track) => track.stop());
    stream = null;
    scanner.hidden = true;
  };

  const look = async () => {
    const detector = await newDetector();
    const seen = new Map();
    while (stream) {
      const now = performance.now();
      const codes = video.readyState >= 2 ? await codesIn(detector, video) : [];
      for (const code of codes) {
        const isNew = now - (seen.get(code) ?? -Infinity) > OUT_OF_SIGHT;
        seen.set(code, performance.now());
        if (isNew && stream) take(code);
      }
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
  };

  const begin = async () => {
    if (stream) return stop();
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      said.textContent = "The camera cannot be used here. Type the code instead.";
      video.hidden = true;
      scanner.hidden = false;
      return undefined;
    }
    scanner.hidden = false;
    video.hidden = false;
    video.srcObject = stream;
    said.textContent = "Hold a label before the camera.";
    await video.play();
    return look();
  };

  const readPhoto = async () => {
    const [file] = photo.files;
    if (!file) return;
    scanner.hidden = false;
    video.hidden = true;
    said.textContent = "Looking for a code …";
    const [code] = await codesIn(await newDetector(), await smaller(file));
    photo.value = "";
    if (code) take(code);
    else said.textContent = "No code in the picture. Come closer, or type it.";
  };

  // A phone's photo is larger than reading a code needs.
  const smaller = async (file) => {
    const whole = await createImageBitmap(file);
    const share = Math.min(1, 1600 / Math.max(whole.width, whole.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(whole.width * share);
    canvas.height = Math.round(whole.height * share);
    canvas.getContext("2d").drawImage(whole, 0, 0, canvas.width, canvas.height);
    return canvas;
  };

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-scan]");
    if (!button) return;
    goes = button.dataset.goes ?? "";
    if (navigator.mediaDevices?.getUserMedia) begin();
    else photo.click();
  });
  scanner.querySelector("[data-stop]").addEventListener("click", stop);
  photo.addEventListener("change", readPhoto);
  window.addEventListener("pagehide", stop);

  const showButtons = () => document.querySelectorAll("[data-scan]").forEach((button) => (button.hidden = false));
  showButtons();
})();
