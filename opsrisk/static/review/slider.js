// Keeps a slider and the number field beside it at the same value. The field is what is asked with; the page
// itself sends it. Without this script the field alone does it.
for (const box of document.querySelectorAll("[data-slider]")) {
  const slide = box.querySelector("input[type=range]");
  const field = box.querySelector("input[name=value]");
  slide.addEventListener("input", () => {
    field.value = slide.value;
  });
  field.addEventListener("input", () => {
    if (field.value.trim() !== "" && Number.isFinite(Number(field.value))) slide.value = field.value;
  });
}
