// A dropout between a tap and its answer: what was sent stays in this tab, with its once-only key, until an answer came.
// Sent again by itself once the network is back, or by a tap, in the order of the taps. Pages work without it, as plain
// forms do.
(() => {
  "use strict";
  const KEY = "waits",
    PATIENCE_MS = 10000,
    EVERY_MS = 3000;
  const here = `${performance.timeOrigin} ${location.pathname}${location.search}`; // this page, as it was loaded now
  let bar = null,
    asks = 0,
    sending = false,
    leaving = false;

  // The forms that wait, the oldest first; one that is saved twice waits as it was saved last.
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
      /* full: it is sent all the same */
    }
  }
  const others = (form) => waiting().filter((other) => other.once !== form.once);
  const keep = (form) => write([...others(form), form]);
  const forget = (form) => write(others(form));
  const clock = (at) => new Date(at).toLocaleTimeString([], {
    hour: "2-digit",
    minute: "2-digit"
  });

  // One plain line over the page; it says what stands, and its button does the one thing there is to do.
  function say(words, ...buttons) {
    if (!bar) {
      bar = document.createElement("div");
      bar.className = "offline";
      bar.setAttribute("role", "status");
      document.querySelector("main").before(bar);
    }
    bar.replaceChildren(Object.assign(document.createElement("span"), {
      textContent: words
    }));
    for (const [text, act] of buttons) {
      const button = Object.assign(document.createElement("button"), {
        type: "button",
        textContent: text
      });
      button.addEventListener("click", act);
      bar.append(button);
    }
    bar.hidden = false;
  }

  function wait() {
    const forms = waiting(),
      them = forms.length > 1 ? "them" : "it";
    if (forms.length) say(
      `The network is away. What you saved at ${forms.map((form) => clock(form.at)).join(" and ")} is kept in this tab and is sent when it is back.`,
      [`Send ${them} now`, send], ...drops(forms));
    else say(
      "The network is away. Go on with this page: what you save is kept in this tab and is sent when it is back.");
    clearInterval(asks);
    asks = setInterval(ask, EVERY_MS);
  }

  const drops = (forms) => forms.map((form) => [forms.length > 1 ? `Drop “${form.button}”` : "Drop it", () => drop(
    form)]);

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
      /* still away */
    }
  }

  function back() {
    clearInterval(asks);
    if (waiting().length) send();
    else say("The network is back.", ["Good", () => {
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
    say("Dropped: it was not saved, unless it had arrived before the network went.", ["Good", () => {
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

  // The answer decides: saved leads on, anything that needs a look is sent once more as a page, no answer waits.
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
      if (leaving) return false; // the page gone to asks again with the same key, and tells what became of it
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
      } // a page that was opened since stays
      saved.push(`${form.title}, of ${clock(form.at)}`);
      say(`Saved now: ${saved.join("; ")}.`, ["Open it", () => location.assign(next)]);
      return true;
    } catch (failure) {
      if (/^\d+$/.test(failure.message)) say(
        `The server could not save ${form.title} (${failure.message}). It is kept in this tab.`, ["Send it again",
          send
        ], ["Drop it", () => drop(form)]);
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

  // Forms with a once-only key; no passwords and no files, which no tab should keep, and no papers, which are files.
  // Attributes are read as such: a field named `method` or `action` hides the form's own.
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
    keep({
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

  // Whoever goes to another page while something is sent gets there. A download asks to leave, too, and stays.
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
