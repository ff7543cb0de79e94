// Spares the reload: a tap is sent, and what comes back takes the place of the page. Without
// this file every form works by itself.
"use strict";

(() => {
  const sending = new WeakMap();

  // 128 random bits, made at the tap: however often it is sent, it counts once.
  const reference = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  };

  const say = (words) => {
    document.getElementById("live").textContent = words;
  };

  const show = (text, address, outcome) => {
    const page = new DOMParser().parseFromString(text, "text/html");
    const kept = window.scrollY;
    for (const part of ["header", "main"]) {
      const fresh = page.querySelector(part);
      if (fresh) {
        document.querySelector(part).replaceWith(document.adoptNode(fresh));
      }
    }
    document.title = page.title;
    history.replaceState(null, "", address);
    const main = document.getElementById("main");
    main.focus({ preventScroll: true });
    // After an outcome the next step is what counts; an item off or on leaves the eye in place.
    window.scrollTo({ top: outcome ? 0 : kept, behavior: "instant" });
    const last = main.querySelector(".last .done, h1:not(.hidden)");
    say("");
    if (last) {
      say(last.textContent);
      setTimeout(() => say(""), 4000);
    }
    workOut();
  };

  const send = async (form, button) => {
    const key = button || form;
    const before = sending.get(key);
    if (before && before.busy) {
      return;
    }
    const tap = before || { ref: reference() };
    tap.busy = true;
    sending.set(key, tap);
    const fields = new URLSearchParams(new FormData(form, button));
    if (fields.has("ref")) {
      fields.set("ref", tap.ref);
    }
    if (button) {
      button.setAttribute("aria-busy", "true");
    }
    try {
      const answer = await fetch(form.action, { method: "POST", body: fields });
      const text = await answer.text();
      sending.delete(key);
      show(text, answer.redirected ? answer.url : location.href, form.querySelector(".outcomes") !== null);
    } catch {
      // The reference stays: the same tap sent again counts once.
      tap.busy = false;
      if (button) {
        button.removeAttribute("aria-busy");
      }
      say("Not sent. Tap again.");
    }
  };

  // Nothing is advised yet: ask for it without a tap.
  const workOut = () => {
    const form = document.querySelector("form[data-now]");
    if (form) {
      send(form, null);
    }
  };

  document.addEventListener("submit", (event) => {
    event.preventDefault();
    send(event.target, event.submitter);
  });

  workOut();
})();
