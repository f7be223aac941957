// Small aids for every page. Pages work without this script.
(() => {
  "use strict";
  const timers = new WeakMap();

  // On a phone the bar of rooms is wider than the screen: begin where one is.
  document.querySelector(".top nav [aria-current]")?.scrollIntoView({
    block: "nearest",
    inline: "center"
  });

  // Show beside a length field how the server reads it. Half a number shows no error.
  async function echo(input) {
    const beside = document.getElementById(input.id + "_echo");
    if (!beside) return;
    const text = input.value;
    const {
      least,
      longest,
      most,
      unit = "in"
    } = input.dataset;
    const address = document.body.dataset.echo + "?" + new URLSearchParams({
      text,
      unit,
      ...(least && {
        least
      }),
      ...(most && {
        most
      }),
      ...(longest && {
        longest
      })
    });
    try {
      const answer = await fetch(address, {
        headers: {
          "HX-Request": "true"
        }
      });
      if (!answer.ok || input.value !== text) return;
      beside.innerHTML = await answer.text();
      input.classList.toggle("outside", Boolean(beside.querySelector(".outside")));
    } catch {
      /* no network: the server answers when the form is saved */
    }
  }

  document.addEventListener("input", (event) => {
    const input = event.target;
    if (!input.matches || !input.matches("input.length")) return;
    clearTimeout(timers.get(input));
    timers.set(input, setTimeout(() => echo(input), 250));
  });

  // Show beside a day which one it is, as the shop writes days: browsers write them in an order of their own.
  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

  function sayDay(input) {
    const beside = document.getElementById(input.id + "_day");
    if (!beside) return;
    const parts = input.value.match(/^(\d+)-(\d+)-(\d+)(?:T(\d+:\d+))?/);
    beside.textContent = parts ? [Number(parts[3]), MONTHS[parts[2] - 1], parts[1], parts[4]].filter(Boolean).join(
      " ") : "";
  }

  const DAYS = "input[type=date], input[type=datetime-local]";
  document.querySelectorAll(DAYS).forEach(sayDay);
  document.addEventListener("input", (event) => {
    if (event.target.matches && event.target.matches(DAYS)) sayDay(event.target);
  });

  // One tap chooses the unit of a bare whole number.
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

  // One tap fills a ready value into its field.
  document.addEventListener("click", (event) => {
    const fill = event.target.closest && event.target.closest("[data-fill]");
    if (fill) fillField(fill, document.getElementById(fill.dataset.fill));
  });

  // A value offered beside a field; what it says of itself (as marked) holds until another value is typed.
  function fillField(button, field) {
    field.value = button.dataset.value;
    notify(button, field);
    if (!button.dataset.check) return;
    document.getElementById(button.dataset.check).checked = true;
    field.addEventListener("input", () => {
      document.getElementById(button.dataset.uncheck).checked = true;
    }, {
      once: true
    });
  }

  // The field hears of it as of what is typed; of the keys that fill it, the one tapped is shown as chosen.
  function notify(button, field) {
    field.dispatchEvent(new Event("input", {
      bubbles: true
    }));
    for (const key of document.querySelectorAll(`button[data-fill="${field.id}"][aria-pressed]`))
      key.setAttribute("aria-pressed", String(key === button));
  }

  // Of a tool's fields those that its kind has are shown, and any that holds a value.
  const holdsValue = (field) => field.type === "checkbox" ? field.checked : field.matches("select") ?
    field.selectedIndex > 0 : Boolean(field.value);

  document.addEventListener("change", (event) => {
    const kind = event.target.matches && event.target.matches("select[name$=kind]") && event.target;
    const tool = kind && kind.closest("[data-tool]");
    if (!tool) return;
    for (const part of tool.querySelectorAll("[data-kinds]"))
      part.hidden = !part.dataset.kinds.split(" ").includes(kind.value) &&
      ![...part.querySelectorAll("input, select")].some(holdsValue);
  });

  // A tap sends a form once; the server's once-only key makes sure of it.
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

  // Stored pages for a reload without network; without https browsers have no such thing.
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/service-worker.js").catch(() => {});
})();
