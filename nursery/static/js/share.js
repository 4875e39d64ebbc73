// Copy a text or hand it to another program of the phone. Without this file it is marked by hand.
const textOf = (button) => document.getElementById(button.dataset.copy ?? button.dataset.share);

const copied = async (field) => {
  if (navigator.clipboard) return navigator.clipboard.writeText(field.value);
  // Without https a browser lends no clipboard; what is marked it copies.
  field.select();
  document.execCommand("copy");
};

document.querySelectorAll(".share").forEach((row) => {
  row.hidden = false;
  row.querySelectorAll("[data-share]").forEach((button) => {
    button.hidden = !navigator.share;
    button.addEventListener("click", () =>
      navigator.share({ text: textOf(button).value }).catch(() => {}));
  });
  row.querySelectorAll("[data-copy]").forEach((button) => {
    button.addEventListener("click", async () => {
      await copied(textOf(button));
      button.textContent = button.dataset.done;
    });
  });
});
