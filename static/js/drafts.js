// Unsaved values are stored on the server and offered again; without a network they are stored in this tab until
// the server has them. Pages work without this script.
(() => {
  "use strict";
  const address = document.body.dataset.draft;
  const forms = [...document.querySelectorAll("form[method=post]")].filter((f) => f.elements.once && f.querySelector(
    "input:not([type=hidden]), textarea"));
  const form = forms[0];
  if (!address || forms.length !== 1) return;
  const skip = new Set(["csrfmiddlewaretoken", "once", "version", "seen", "revision", "group", "do"]);
  const page = location.pathname + (form.elements.draft ? "?" + form.elements.draft.value :
    ""); // of one piece, where it opens by itself
  const before = sessionStorage.getItem("typed " + page); // by an earlier page of this tab
  let waits = 0,
    touched = false, // whether something was typed on this page
    first = typed(); // what the server has, or had when the page came

  // Every field that a person fills, in order; no files, no passwords.
  function typed() {
    const pairs = [];
    for (const field of form.elements) {
      if (!field.name || skip.has(field.name) || ["hidden", "password", "file", "submit", "button"].includes(field
          .type)) continue;
      if (["checkbox", "radio"].includes(field.type)) {
        if (field.checked) pairs.push([field.name, field.value]);
      } else pairs.push([field.name, field.value]);
    }
    return JSON.stringify(pairs);
  }

  function send(content) {
    const body = new URLSearchParams({
      form: page,
      csrfmiddlewaretoken: form.elements.csrfmiddlewaretoken.value
    });
    if (content !== null) {
      body.set("content", content);
      body.set("sequence", String(Date.now()));
      body.set("key", form.elements.once.value);
    }
    fetch(address, {
      method: "POST",
      body,
      keepalive: true
    }).then(() => content === typed() && inTab(null), () => {});
  }

  // The values in this tab, for a reload without network.
  function inTab(content) {
    try {
      if (content === null) sessionStorage.removeItem("typed " + page);
      else sessionStorage.setItem("typed " + page, content);
    } catch {
      /* storage is full: the page still has the values */
    }
  }

  // The answer may come late: what was typed on this page meanwhile is not of before.
  function offerOlder(content) {
    if (content && content !== typed() && content !== first) offer(content);
  }

  function store() {
    clearTimeout(waits);
    const now = typed();
    if (now !== first) {
      first = now;
      send(now);
    }
  }

  function restore(content) {
    const pairs = JSON.parse(content),
      remaining = new Map();
    for (const [name, value] of pairs) remaining.set(name, [...(remaining.get(name) || []), value]);
    for (const field of form.elements) {
      if (!field.name || skip.has(field.name) || field.type === "hidden" || field.type === "file") continue;
      const values = remaining.get(field.name) || [];
      if (["checkbox", "radio"].includes(field.type)) field.checked = values.includes(field.value);
      else if (values.length && field.type !== "password") {
        field.value = values.shift();
        field.dispatchEvent(new Event("input", {
          bubbles: true
        }));
      }
    }
    form.querySelectorAll("details").forEach((fold) => {
      fold.open = true;
    });
  }

  // Shown at the head of the form; the values are never restored without a tap.
  function offer(content) {
    const notice = document.createElement("div");
    notice.className = "notice draft";
    notice.setAttribute("role", "status");
    notice.append("You typed values here before and did not save them. ");
    for (const [label, act] of [
        ["Restore them", () => restore(content)],
        ["Discard them", () => {
          inTab(null);
          send(null);
        }]
      ]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = label;
      button.addEventListener("click", () => {
        act();
        notice.remove();
      });
      notice.append(button, " ");
    }
    form.prepend(notice);
    if (touched) scrollBy(0, notice.getBoundingClientRect().height); // nothing moves under the finger
  }

  form.addEventListener("submit", () => {
    clearTimeout(waits);
    inTab(null);
  });
  form.addEventListener("focusout", store);
  form.addEventListener("input", () => {
    clearTimeout(waits);
    touched = true;
    inTab(typed());
    waits = setTimeout(store, 1000);
  });
  if (!document.body.dataset.answers && !document.querySelector("[aria-invalid=true]")) {
    fetch(address + "?" + new URLSearchParams({
        form: page
      })).then((answer) => answer.ok ? answer.json() : {
        content: ""
      })
      .then(({
        content
      }) => offerOlder(before || content), () => offerOlder(before));
  }
})();
