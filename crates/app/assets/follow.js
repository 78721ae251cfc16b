// Swaps parts of a page when a value or the pointer changes. Without it every form still works
// by its button, and every place can be reached by its link.
"use strict";
(() => {
  let latest = 0;

  // Fetches a page and puts its parts in place of this page's. `point` leaves forms alone, so
  // that nothing half typed is touched.
  async function swap(address, options, point) {
    const ticket = ++latest;
    document.body.classList.add("waiting");
    let answer;
    try {
      answer = await fetch(address, { ...options, credentials: "same-origin", headers: { "X-Part": "1" } });
    } catch {
      say("The program does not answer. What you typed is still in its field; start the program again and send it once more.");
      return;
    } finally {
      if (ticket === latest) document.body.classList.remove("waiting");
    }
    if (ticket !== latest) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    place(fresh, point);
    if (!options || !options.method) {
      history.replaceState(null, "", address);
    } else if (answer.redirected) {
      history.replaceState(null, "", answer.url);
    }
  }

  function say(words) {
    const box = document.getElementById("words");
    if (!box) return;
    box.replaceChildren();
    const line = document.createElement("p");
    line.className = "notice not-done";
    line.textContent = words;
    box.append(line);
  }

  function place(fresh, point) {
    const active = document.activeElement;
    const kept = active && active.id ? { id: active.id, value: active.value, dirty: active.defaultValue !== undefined && active.value !== active.defaultValue } : null;
    const handle = active && active.dataset && active.dataset.path;
    for (const part of document.querySelectorAll("[data-part]")) {
      if (!part.isConnected) continue;
      const next = fresh.getElementById(part.id);
      if (!next) continue;
      if (point && part.querySelector("form")) continue;
      if (next.isEqualNode(part)) continue;
      const scrolls = [...part.querySelectorAll(".scroller")].map((box) => box.scrollLeft);
      part.replaceWith(document.adoptNode(next));
      [...next.querySelectorAll(".scroller")].forEach((box, index) => { box.scrollLeft = scrolls[index] || 0; });
    }
    if (point) {
      const board = document.getElementById("board");
      if (board) for (const name of ["fret", "lane"]) {
        for (const field of document.querySelectorAll(`input[type=hidden][name=${name}]`)) field.value = board.dataset[name];
      }
    }
    for (const link of fresh.querySelectorAll("#way a")) {
      const here = [...document.querySelectorAll("#way a")].find((old) => old.textContent === link.textContent);
      if (here) here.href = link.getAttribute("href");
    }
    if (kept) {
      const again = document.getElementById(kept.id);
      if (again && again !== document.activeElement) {
        if (kept.dirty) again.value = kept.value;
        again.focus({ preventScroll: true });
      }
    }
    if (handle) {
      const again = document.querySelector(`[data-path="${CSS.escape(handle)}"][role=slider]`);
      if (again && again !== document.activeElement) again.focus({ preventScroll: true });
    }
  }

  function pointAt(fret, lane) {
    const board = document.getElementById("board");
    if (!board) return;
    fret = Math.max(0, Math.min(Number(board.dataset.frets), fret));
    lane = Math.max(0, Math.min(Number(board.dataset.lanes) - 1, lane));
    if (fret === Number(board.dataset.fret) && lane === Number(board.dataset.lane)) return;
    board.dataset.fret = fret;
    board.dataset.lane = lane;
    const address = new URL(location.href);
    address.searchParams.set("fret", fret);
    address.searchParams.set("lane", lane);
    swap(address.pathname + address.search, undefined, true);
  }

  function pointed() {
    const board = document.getElementById("board");
    return board ? [Number(board.dataset.fret), Number(board.dataset.lane)] : [0, 0];
  }

  function send(form, submitter) {
    const body = new URLSearchParams(new FormData(form));
    if (submitter && submitter.name) body.set(submitter.name, submitter.value);
    swap(form.action, { method: "POST", body });
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-follow]")) return;
    event.preventDefault();
    send(form, event.submitter);
  });

  document.addEventListener("change", (event) => {
    const field = event.target;
    if (!field.matches("[data-send]")) return;
    const form = field.form;
    if (form.matches("[data-follow]")) send(form); else form.requestSubmit();
  });

  document.addEventListener("click", (event) => {
    const place = event.target.closest("#plan [data-key]");
    if (place) {
      const [kind, number] = place.dataset.key.split("-");
      const [fret, lane] = pointed();
      if (kind === "fret") pointAt(Number(number), nearestLane(event) ?? lane); else pointAt(fret, Number(number));
      return;
    }
    const row = event.target.closest("tr[data-fret]");
    if (row) { pointAt(Number(row.dataset.fret), pointed()[1]); return; }
    const link = event.target.closest("a[data-point]");
    if (link) { event.preventDefault(); swap(link.getAttribute("href"), undefined, true); }
  });

  // The lane nearest to a point of the plan, by the lanes' own places in the picture.
  function nearestLane(event) {
    let best = null;
    for (const line of document.querySelectorAll("#plan [data-key^=lane-]")) {
      const path = line.matches("path") ? line : line.querySelector("path");
      if (!path || !path.getScreenCTM) continue;
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(path.getScreenCTM().inverse());
      const a = path.getPointAtLength(0), b = path.getPointAtLength(path.getTotalLength());
      const share = (at.x - a.x) / (b.x - a.x || 1);
      const off = Math.abs(at.y - (a.y + share * (b.y - a.y)));
      if (!best || off < best.off) best = { off, lane: Number(line.dataset.key.split("-")[1]) };
    }
    return best && best.lane;
  }

  document.addEventListener("pointermove", (event) => {
    if (event.pointerType !== "mouse" || event.buttons) return;
    const place = event.target.closest && event.target.closest("#plan [data-key^=fret-]");
    if (!place) return;
    pointAt(Number(place.dataset.key.split("-")[1]), nearestLane(event) ?? pointed()[1]);
  });

  document.addEventListener("keydown", (event) => {
    const slider = event.target.closest && event.target.closest("[role=slider]");
    if (slider) { stepHandle(event, slider); return; }
    if (!event.target.closest || !event.target.closest("#plan")) return;
    const [fret, lane] = pointed();
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const move = moves[event.key];
    if (event.key === "Home") pointAt(0, lane);
    else if (event.key === "End") pointAt(999, lane);
    else if (move) pointAt(fret + move[0], lane + move[1]);
    else return;
    event.preventDefault();
  });

  function setHandle(slider, millimetres, trial) {
    const fields = new URLSearchParams();
    const [fret, lane] = pointed();
    fields.set("path", slider.dataset.path);
    fields.set("value", `${Math.max(10, Math.round(millimetres * 10) / 10)} mm`);
    fields.set("based_on", slider.dataset.basedOn);
    fields.set("page", "camber");
    fields.set("fret", fret);
    fields.set("lane", lane);
    if (trial) fields.set("trial", "yes");
    return swap(slider.dataset.action, { method: "POST", body: fields });
  }

  function stepHandle(event, slider) {
    const steps = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 };
    const step = steps[event.key];
    if (!step) return;
    event.preventDefault();
    setHandle(slider, Number(slider.dataset.value) + step);
  }

  // Dragging tries values without storing them; letting go stores the last one.
  let drag = null;
  document.addEventListener("pointerdown", (event) => {
    const slider = event.target.closest && event.target.closest("[role=slider]");
    if (!slider) return;
    event.preventDefault();
    const picture = slider.ownerSVGElement;
    drag = {
      path: slider.dataset.path, slider: slider.cloneNode(true), from: event.clientY, value: Number(slider.dataset.value),
      perPixel: Number(slider.dataset.scale) / picture.getScreenCTM().d, at: Number(slider.dataset.value), busy: false, next: null,
    };
  });
  document.addEventListener("pointermove", (event) => {
    if (!drag) return;
    event.preventDefault();
    drag.at = drag.value + (event.clientY - drag.from) * drag.perPixel;
    tryDrag();
  });
  async function tryDrag() {
    if (!drag) return;
    if (drag.busy) { drag.next = true; return; }
    const mine = drag;
    mine.busy = true;
    mine.next = false;
    await setHandle(mine.slider, mine.at, true);
    mine.busy = false;
    if (drag === mine && mine.next) tryDrag();
  }
  for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => {
    if (!drag) return;
    const done = drag;
    drag = null;
    if (Math.abs(done.at - done.value) > 0.05) setHandle(done.slider, done.at);
  });
})();
