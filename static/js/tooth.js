// The ring of teeth: a tap goes to the tooth's reading, and the reading is shown on the ring.
const ring = document.querySelector(".ring");

function mark(field) {
  const key = ring && field.id && ring.querySelector(`[data-focus="${field.id}"]`);
  if (!key) return;
  const number = key.querySelector("text"),
    read = ring.querySelector(`[data-read="${field.id}"]`);
  const middle = Number(key.querySelector("circle").getAttribute("cy"));
  read.textContent = field.value.slice(0, 9);
  number.setAttribute("y", String(middle + (field.value ? 0 : 7)));
}

document.addEventListener("click", (event) => {
  const key = event.target.closest && event.target.closest("[data-focus]");
  const field = key && document.getElementById(key.dataset.focus);
  if (!field) return;
  event.preventDefault();
  field.focus();
  field.select();
});
document.addEventListener("input", (event) => mark(event.target));
document.addEventListener("focusin", (event) => {
  if (!ring) return;
  for (const key of ring.querySelectorAll("[data-focus]")) key.classList.toggle("here", key.dataset.focus === event
    .target.id);
});
