// Small helps for every page. Pages work without it.
(() => {
  "use strict";
  const later = new WeakMap();

  // What was understood of a length, said beside its field. Half a number shows no error.
  async function echo(input) {
    const beside = document.getElementById(input.id + "_echo");
    if (!beside) return;
    const asked = input.value;
    const address = document.body.dataset.echo + "?" + new URLSearchParams({
      text: asked,
      unit: input.dataset.unit || "in"
    });
    try {
      const answer = await fetch(address, {
        headers: {
          "HX-Request": "true"
        }
      });
      if (answer.ok && input.value === asked) beside.innerHTML = await answer.text();
    } catch {
      /* the network is away: the server says it at the save */
    }
  }

  document.addEventListener("input", (event) => {
    const input = event.target;
    if (!input.matches || !input.matches("input.length")) return;
    clearTimeout(later.get(input));
    later.set(input, setTimeout(() => echo(input), 250));
  });

  // One tap says what a bare whole number meant.
  document.addEventListener("click", (event) => {
    const choice = event.target.closest && event.target.closest("[data-choice]");
    if (!choice) return;
    const field = choice.closest(".field").querySelector("input");
    field.value = choice.dataset.choice;
    field.removeAttribute("aria-invalid");
    field.dispatchEvent(new Event("input", {
      bubbles: true
    }));
    field.focus();
  });

  // One tap takes a ready value into its field.
  document.addEventListener("click", (event) => {
    const fill = event.target.closest && event.target.closest("[data-fill]");
    if (fill) document.getElementById(fill.dataset.fill).value = fill.dataset.value;
  });

  // A form is sent once by one tap; the server's once-only key is what is relied on.
  document.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (button && !event.defaultPrevented) setTimeout(() => {
      button.disabled = true;
      setTimeout(() => {
        button.disabled = false;
      }, 4000);
    }, 0);
  });
  addEventListener("pageshow", () => document.querySelectorAll("button:disabled").forEach((b) => {
    b.disabled = false;
  }));

  // The focus goes to the first error.
  const wrong = document.querySelector("[aria-invalid=true]");
  if (wrong) wrong.focus();
})();
