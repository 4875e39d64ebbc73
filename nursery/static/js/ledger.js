// Small comforts. Every page works without this file.

// A menu closes when the person taps elsewhere or presses Escape.
const closeMenus = (except) => {
  document.querySelectorAll("details.brand[open]").forEach((menu) => {
    if (!menu.contains(except)) menu.open = false;
  });
};

document.addEventListener("click", (event) => closeMenus(event.target));

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") closeMenus(null);
});

// A button pressed twice sends its form once. The request id keeps the ledger right anyway;
// this keeps the person calm.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.target) return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  event.submitter?.setAttribute("aria-busy", "true");
  setTimeout(() => release(form), 8000);
});

// A form can be sent again after a download, or when its page comes back from history.
const release = (form) => {
  delete form.dataset.sent;
  form.querySelectorAll("[aria-busy]").forEach((button) => button.removeAttribute("aria-busy"));
};

window.addEventListener("pageshow", () => {
  document.querySelectorAll("form[data-sent]").forEach(release);
});

// A file too large to be taken is told so before it is sent, which may last minutes outdoors.
document.addEventListener("change", ({ target }) => {
  const most = Number(target.dataset?.mostBytes);
  if (!most || !target.files) return;
  const size = Math.max(0, ...[...target.files].map((file) => file.size));
  target.setCustomValidity(size <= most ? "" : `This file has ${(size / 1e6).toFixed(1)} MB; `
    + `at most ${Math.floor(most / 1e6)} MB can be sent. Choose a smaller one.`);
  target.reportValidity();
});

// A password can be looked at while it is typed.
document.querySelectorAll("input[type=password]").forEach((field) => {
  const button = document.createElement("button");
  const show = (shown) => {
    field.type = shown ? "text" : "password";
    button.textContent = shown ? "Hide" : "Show";
    button.setAttribute("aria-pressed", shown);
  };
  button.type = "button";
  button.className = "quiet peek";
  button.addEventListener("click", () => show(field.type === "password"));
  field.form?.addEventListener("submit", () => show(false));
  field.after(button);
  show(false);
});

// After a refusal, reading goes on at the list of what was wrong.
document.querySelector(".refusal")?.focus();

// htmx throws away an answer that tells of a fault; this one is a notice for the page that is open.
document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  if (detail.xhr.status >= 400 && detail.xhr.getResponseHeader("HX-Retarget")) detail.shouldSwap = true;
});
