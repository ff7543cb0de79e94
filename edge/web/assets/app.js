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

  // A photo goes out small and without what the phone wrote into it.
  const shrink = async (file) => {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, 1600 / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
  };

  const sendPhoto = async (input) => {
    say("Sending the photo.");
    try {
      const body = await shrink(input.files[0]);
      const answer = await fetch(`${input.dataset.photo}&ref=${reference()}`, { method: "POST", body });
      show(await answer.text(), answer.redirected ? answer.url : location.href, false);
    } catch {
      say("Not sent. Take it again.");
    }
    input.value = "";
  };

  const make = (name, attributes) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
    return made;
  };

  // Each tap on a photo says where the next one sat: x and y are shares of its width and height.
  const mark = (svg, x, y) => {
    const row = svg.closest("figure").querySelector("[data-marks]");
    const field = row.querySelector("[name=say]");
    const marks = field.value ? field.value.split(";") : [];
    const cells = svg.dataset.cells.split(" ");
    if (marks.length === cells.length) {
      return;
    }
    if (marks.length === 0) {
      svg.querySelectorAll("g").forEach((old) => old.remove());
    }
    const [cell, hole] = cells[marks.length].split(":");
    const { width, height } = svg.viewBox.baseVal;
    marks.push(`${hole}@${x.toFixed(4)}x${y.toFixed(4)}`);
    field.value = marks.join(";");
    const group = make("g", {});
    const radius = Number(svg.dataset.radius);
    const text = make("text", { x: x * width, y: y * height, "font-size": radius * 1.2 });
    text.textContent = cell;
    group.append(make("circle", { cx: x * width, cy: y * height, r: radius }), text);
    svg.append(group);
    row.hidden = false;
    const next = cells[marks.length];
    say(next ? `${cell} marked. Next: ${next.split(":")[0]}.` : `${cell} marked. That is all of them.`);
  };

  // By keyboard: arrows move a cross over the photo, Enter marks where it stands.
  const STEP = 0.02;
  const WAYS = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] };
  const cross = (svg, [dx, dy]) => {
    const within = (share) => Math.min(1, Math.max(0, share));
    const x = within(Number(svg.dataset.x ?? 0.5) + dx);
    const y = within(Number(svg.dataset.y ?? 0.5) + dy);
    Object.assign(svg.dataset, { x, y });
    const { width, height } = svg.viewBox.baseVal;
    const arm = Number(svg.dataset.radius);
    const d = `M${x * width - arm} ${y * height}h${2 * arm}M${x * width} ${y * height - arm}v${2 * arm}`;
    svg.querySelectorAll("path").forEach((old) => old.remove());
    // A light one below, so that it is seen on dark metal too.
    svg.append(make("path", { d, class: "under" }), make("path", { d }));
  };

  document.addEventListener("keydown", (event) => {
    const svg = event.target.closest("svg[data-cells]");
    const way = WAYS[event.key];
    if (!svg || !(way || event.key === "Enter")) {
      return;
    }
    event.preventDefault();
    cross(svg, way ?? [0, 0]);
    if (!way) {
      mark(svg, Number(svg.dataset.x), Number(svg.dataset.y));
    }
  });

  document.addEventListener("change", (event) => {
    if (event.target.dataset.photo && event.target.files.length > 0) {
      sendPhoto(event.target);
    }
  });

  document.addEventListener("click", (event) => {
    const svg = event.target.closest("svg[data-cells]");
    if (svg) {
      const box = svg.getBoundingClientRect();
      mark(svg, (event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
    } else if (event.target.closest("[data-again]")) {
      const figure = event.target.closest("figure");
      figure.querySelector("[data-marks] [name=say]").value = "";
      figure.querySelectorAll("svg g").forEach((old) => old.remove());
    }
  });

  document.addEventListener("submit", (event) => {
    event.preventDefault();
    send(event.target, event.submitter);
  });

  workOut();
})();
