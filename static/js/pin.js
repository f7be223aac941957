// Large number keys for a PIN. Without it the field takes the tablet's own keys.
(() => {
  "use strict";
  const keys = document.querySelector(".keys"),
    field = document.querySelector(".pinpad input.pin");
  if (!keys || !field) return;
  keys.hidden = false;
  field.setAttribute("inputmode", "none");
  keys.addEventListener("click", (event) => {
    const key = event.target.closest("[data-digit]");
    if (key) field.value = key.dataset.digit ? field.value + key.dataset.digit : "";
  });
})();
