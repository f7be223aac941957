// Forms sent while the network is away stay in this tab, with their once-only keys, until the server has answered.
// They are sent again when the network is back, or by a tap, in the order of the taps. Pages work without this script.
(() => {
  "use strict";
  const KEY = "unsent",
    PATIENCE_MS = 10000,
    EVERY_MS = 3000;
  const here = `${performance.timeOrigin} ${location.pathname}${location.search}`; // this load of this page
  let bar = null,
    asks = 0,
    sending = false,
    leaving = false;

  // The unsent forms, the oldest first; a form that was saved twice counts once, as saved last.
  const waiting = () => {
    try {
      return JSON.parse(sessionStorage.getItem(KEY)) || [];
    } catch {
      return [];
    }
  };

  function write(forms) {
    try {
      if (forms.length) sessionStorage.setItem(KEY, JSON.stringify(forms));
      else sessionStorage.removeItem(KEY);
    } catch {
      /* storage is full: the form is sent without it */
    }
  }
  const others = (form) => waiting().filter((other) => other.once !== form.once);
  const store = (form) => write([...others(form), form]);
  const forget = (form) => write(others(form));
  const clock = (at) => new Date(at).toLocaleTimeString([], {
    hour: "2-digit",
    minute: "2-digit"
  });

  // One line above the page with the present state, and a button for the next step.
  function show(text, ...buttons) {
    if (!bar) {
      bar = document.createElement("div");
      bar.className = "offline";
      bar.setAttribute("role", "status");
      document.querySelector("main").before(bar);
    }
    bar.replaceChildren(Object.assign(document.createElement("span"), {
      textContent: text
    }));
    for (const [label, act] of buttons) {
      const button = Object.assign(document.createElement("button"), {
        type: "button",
        textContent: label
      });
      button.addEventListener("click", act);
      bar.append(button);
    }
    bar.hidden = false;
  }

  function wait() {
    const forms = waiting(),
      all = forms.length > 1 ? " all" : "";
    if (forms.length) show(
      `There is no network. What you saved at ${forms.map((form) => clock(form.at)).join(" and ")} is stored in this tab. ` +
      "It is sent when the network is back.",
      [`Send${all} now`, send], ...drops(forms));
    else show(
      "There is no network. You can go on with this page: what you save is stored in this tab and sent later.");
    clearInterval(asks);
    asks = setInterval(ask, EVERY_MS);
  }

  const drops = (forms) => forms.map((form) => [forms.length > 1 ? `Discard “${form.button}”` : "Discard", () =>
    drop(form)
  ]);

  async function ask() {
    try {
      await fetch(document.body.dataset.echo, {
        method: "HEAD",
        cache: "no-store",
        redirect: "manual",
        signal: AbortSignal.timeout(PATIENCE_MS)
      });
      back();
    } catch {
      /* still no network */
    }
  }

  function back() {
    clearInterval(asks);
    if (waiting().length) send();
    else show("The network is back.", ["Close", () => {
      bar.hidden = true;
    }]);
  }

  function drop(form) {
    forget(form);
    clearInterval(asks);
    if (waiting().length) {
      send();
      return;
    }
    show("Discarded. It was not saved, unless it reached the server before the network failed.", ["Close", () => {
      bar.hidden = true;
    }]);
  }

  // One after the other, until one leads to another page, which sends the rest, or does not get through.
  async function send() {
    if (sending) return;
    sending = true;
    const saved = [];
    try {
      while (waiting().length && await sendFirst(waiting()[0], saved));
    } finally {
      sending = false;
    }
  }

  // Saved: open the next page. Refused: send the form again as a page, to show why. No answer: wait.
  async function sendFirst(form, saved) {
    try {
      const answer = await fetch(form.action, {
        method: "POST",
        body: new URLSearchParams([...form.pairs, ["csrfmiddlewaretoken", token()]]),
        headers: {
          "X-Tab": "1"
        },
        redirect: "manual",
        signal: AbortSignal.timeout(PATIENCE_MS)
      });
      if (answer.status >= 500) throw new Error(answer.status);
      if (leaving) return false; // the next page sends it again with the same key, and shows the result
      forget(form);
      clearInterval(asks);
      if (answer.status !== 204) {
        asPage(form);
        return false;
      }
      const next = answer.headers.get("X-Go-To");
      if (form.page === here) {
        location.assign(next);
        return false;
      } // a page opened since then stays
      saved.push(`${form.title}, ${clock(form.at)}`);
      show(`Saved: ${saved.join("; ")}.`, ["Open", () => location.assign(next)]);
      return true;
    } catch (failure) {
      if (/^\d+$/.test(failure.message)) show(
        `The server could not save ${form.title} (error ${failure.message}). It is stored in this tab.`, [
          "Send again",
          send
        ], ["Discard", () => drop(form)]);
      else wait();
      document.querySelectorAll("button:disabled").forEach((button) => {
        button.disabled = false;
      });
      return false;
    }
  }

  const token = () => (document.querySelector("[name=csrfmiddlewaretoken]") || {
    value: ""
  }).value;

  function asPage(form) {
    const again = Object.assign(document.createElement("form"), {
      method: "post",
      action: form.action,
      hidden: true
    });
    for (const [name, value] of [...form.pairs, ["csrfmiddlewaretoken", token()]]) {
      again.append(Object.assign(document.createElement("input"), {
        type: "hidden",
        name,
        value
      }));
    }
    document.body.append(again);
    HTMLFormElement.prototype.submit.call(again);
  }

  // Only forms with a once-only key, without passwords and files: a tab must not store those. Papers are files.
  // Read the attributes: a field named `method` or `action` hides the form's own property.
  function mayWait(form, data) {
    return form.getAttribute("method") === "post" && data.has("once") && !form.hasAttribute("target") && !target(form)
      .includes("/print/") &&
      !form.querySelector("[type=password]") && [...data.values()].every((value) => typeof value === "string" || !
        value.size);
  }
  const target = (form, by) => new URL((by && by.getAttribute("formaction")) || form.getAttribute("action") ||
    location.href, location.href).href;

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented) return;
    const data = new FormData(form, event.submitter);
    if (!mayWait(form, data)) return;
    event.preventDefault();
    const once = data.get("once");
    if (sending && waiting().some((form) => form.once === once)) return;
    const pairs = [...data].filter(([name, value]) => name !== "csrfmiddlewaretoken" && typeof value ===
      "string");
    leaving = false;
    store({
      action: target(form, event.submitter),
      once,
      pairs,
      page: here,
      title: document.title,
      button: event.submitter ? event.submitter.textContent.trim() : document.title,
      at: Date.now()
    });
    send();
  });

  // Leaving the page while a form is sent is possible. A download fires this event too, and the page stays.
  addEventListener("beforeunload", () => {
    leaving = true;
    setTimeout(() => {
      leaving = false;
      send();
    }, PATIENCE_MS / 2);
  });
  addEventListener("offline", wait);
  addEventListener("online", back);
  for (const name of ["htmx:error", "htmx:sendError", "htmx:timeout"]) document.addEventListener(name, () => {
    if (!navigator.onLine) wait();
  });
  if (waiting().length) send();
  else if (!navigator.onLine) wait();
})();
