// Swaps parts of a page when a value or the pointer changes. Without it every form still works
// by its button, and every place can be reached by its link.
"use strict";
(() => {
  const NO_ANSWER = "The program does not answer. What you typed is still in its field; start the program again and send it once more.";
  let latest = 0;

  // Changes go one after the other, each when the answer to the one before is on the page. A
  // place pointed at meanwhile waits, so that no answer to a change is thrown away.
  let changes = Promise.resolve();
  let changing = 0;
  // Where was pointed, until an answer shows that place: the next key starts from there.
  let aim = null;
  const ownMoments = new Map();
  // From each moment to the one that this window alone made of it: what is sent meanwhile builds on
  // the newer one, and no other window is blamed for it.
  const ownSteps = new Map();
  function change(job) {
    changing += 1;
    changes = changes.then(job).catch(() => say(NO_ANSWER)).finally(() => {
      changing -= 1;
      if (changing) return;
      ownMoments.clear();
      ownSteps.clear();
      if (aim) showPoint();
    });
  }

  // The address is made when it is asked for: a change may have led on to another one meanwhile.
  function showPoint() {
    if (changing) return;
    const address = new URL(location.href);
    address.searchParams.set("fret", aim.fret);
    address.searchParams.set("lane", aim.lane);
    swap(address.pathname + address.search, undefined, true);
  }

  // Fetches a page and puts its parts in place of this page's. `point` leaves forms alone, so
  // that nothing half typed is touched. True when the answer led on to a stored page.
  // `own` is the key of the form that was sent.
  async function swap(address, options, point, own) {
    const ticket = ++latest;
    document.body.classList.add("waiting");
    let answer, text;
    try {
      answer = await fetch(address, { ...options, credentials: "same-origin", headers: { "X-Part": "1" } });
      text = await answer.text();
    } catch {
      if (ticket === latest) aim = null;
      say(NO_ANSWER);
      return;
    } finally {
      if (ticket === latest) document.body.classList.remove("waiting");
    }
    // Only now: while the text came in, something newer may have been asked for.
    if (ticket !== latest) return;
    const fresh = new DOMParser().parseFromString(text, "text/html");
    // A page that says what went wrong has no parts: its words are shown on this one.
    if (!answer.ok && !fresh.getElementById("words")) {
      aim = null;
      say((fresh.querySelector("main") || fresh.body).textContent);
      return;
    }
    if (point) aim = null;
    place(fresh, point, own);
    if (!options || !options.method) {
      history.replaceState(null, "", address);
    } else if (answer.redirected) {
      history.replaceState(null, "", answer.url);
    }
    return answer.redirected;
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

  function place(fresh, point, own) {
    const others = halfTyped(own);
    // The field to be mended: the browser itself gives the focus to the first of a page only.
    const mend = fresh.querySelector("[autofocus]");
    mend?.removeAttribute("autofocus");
    const named = fresh.querySelector("[data-field]")?.dataset.field;
    const active = document.activeElement;
    const kept = active && active.id ? typedSoFar(active) : null;
    const handle = active && active.dataset && active.dataset.path;
    for (const part of document.querySelectorAll("[data-part]")) {
      if (!part.isConnected) continue;
      const next = fresh.getElementById(part.id);
      if (!next) continue;
      if (point && part.querySelector("form")) continue;
      if (next.isEqualNode(part)) continue;
      // What was worked out later stays as long as it would be worked out alike, and what is
      // being worked out is not begun again.
      if (next.dataset.later && next.dataset.later === (part.dataset.come || part.dataset.later)) continue;
      const scrolls = [...part.querySelectorAll(".scroller")].map((box) => box.scrollLeft);
      const opened = folds(part).map((fold) => fold.open);
      for (const come of [part, ...part.querySelectorAll("[data-come]")].filter((each) => each.dataset.come)) {
        foldsLater.set(come.id, folds(come).map((fold) => fold.open));
      }
      const nth = active && !active.id && part.contains(active) ? alike(part, active).indexOf(active) : -1;
      part.replaceWith(document.adoptNode(next));
      folds(next).forEach((fold, index) => { if (opened[index]) fold.open = true; });
      [...next.querySelectorAll(".scroller")].forEach((box, index) => { box.scrollLeft = scrolls[index] || 0; });
      alike(next, active)[nth]?.focus({ preventScroll: true });
    }
    // A question is asked where it is seen.
    document.querySelector(".clash")?.scrollIntoView({ block: "nearest" });
    const board = document.getElementById("board");
    if (aim && board && aim.fret === Number(board.dataset.fret) && aim.lane === Number(board.dataset.lane)) aim = null;
    comeLater();
    for (const form of document.forms) others.get(keyOf(form))?.forEach(putBack, form);
    if (point && board) {
      for (const name of ["fret", "lane"]) {
        for (const field of document.querySelectorAll(`input[type=hidden][name=${name}]`)) field.value = board.dataset[name];
      }
      // Fields that name the place pointed at go there too, unless something else was typed.
      for (const field of document.querySelectorAll("[data-points]")) {
        const there = fresh.querySelector(`[data-points][name="${field.name}"]`);
        if (there && !isChanged(field)) field.value = field.defaultValue = there.defaultValue;
      }
    }
    for (const link of fresh.querySelectorAll("#way a")) {
      const here = [...document.querySelectorAll("#way a")].find((old) => old.textContent === link.textContent);
      if (here) here.href = link.getAttribute("href");
    }
    if (kept) {
      const again = document.getElementById(kept.id);
      if (again && again !== document.activeElement) {
        if (kept.dirty) { again.value = kept.value; if (again.matches("[data-send]")) unsent.add(again); }
        again.focus({ preventScroll: true });
        if (kept.whole) again.select();
        else if (kept.dirty) again.setSelectionRange(kept.start, kept.end);
      }
    }
    if (mend && !point) goMend(mend);
    else if (named) goMend([...document.forms].find((each) => keyOf(each) === own)?.elements[named]);
    if (handle) {
      const again = document.querySelector(`[data-path="${CSS.escape(handle)}"][role=slider]`);
      if (again && again !== document.activeElement) again.focus({ preventScroll: true });
    }
  }

  // The folds of a part, without those inside what is worked out later: they are not there yet
  // when it comes anew, and would put the others out of step.
  function folds(within) {
    return [within, ...within.querySelectorAll("details")].filter((each) => {
      const later = each.closest("[data-later], [data-come]");
      return each.matches("details") && (!later || later === each || later === within || !within.contains(later));
    });
  }

  // Back to a field whose value was refused, unless something else is being typed by now.
  function goMend(field) {
    if (!field) return;
    const active = document.activeElement;
    const there = field.ownerDocument === document ? field : twin(field);
    if (!there || there === active || (active && active.matches("input, textarea") && typedSoFar(active).dirty)) return;
    there.closest("details")?.setAttribute("open", "");
    there.focus();
    if (there.select) there.select();
  }

  // The field of this page that is the same as one of a page that came.
  function twin(field) {
    if (field.id) return document.getElementById(field.id);
    const form = [...document.forms].find((each) => keyOf(each) === keyOf(field.form));
    return form && [...form.elements].find((each) => each.name === field.name);
  }

  // The places of a part that can take the focus and are called like the one that has it. A
  // button that takes a line away is left out: the key held down would take the next one too.
  function alike(part, active) {
    if (!active || active.closest("form[action$='/take']")) return [];
    const called = (each) => each.tagName + (each.getAttribute("aria-label") || each.textContent);
    return [...part.querySelectorAll(active.tagName)].filter((each) => called(each) === called(active));
  }

  // Parts that take a moment to work out come after the page is there. What was unfolded in them
  // before a change is unfolded again.
  const foldsLater = new Map();
  async function comeLater() {
    for (const part of document.querySelectorAll("[data-later]:not([aria-busy])")) {
      const address = part.dataset.later;
      part.setAttribute("aria-busy", "true");
      const work = nameWork();
      const shown = showWork(part, work);
      try {
        const answer = await fetch(`${address}${address.includes("?") ? "&" : "?"}work=${work}`, { credentials: "same-origin", headers: { "X-Part": "1" } });
        if (!part.isConnected || part.dataset.later !== address) continue;
        if (shown.stopped) { shown.say("Stopped. The link begins it anew."); continue; }
        const come = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(part.id);
        if (!answer.ok || !come || !part.isConnected) continue;
        come.dataset.come = address;
        const opened = foldsLater.get(part.id) || [];
        if (part.matches("details")) come.open = part.open;
        part.replaceWith(document.adoptNode(come));
        come.querySelectorAll("details").forEach((fold, index) => { if (opened[index]) fold.open = true; });
      } catch {
        // The link in its place still works.
      } finally {
        shown.end();
        part.removeAttribute("aria-busy");
      }
    }
  }
  comeLater();

  // A file that takes a while to make is asked for by a name of its work.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-work]");
    if (!link) return;
    const work = nameWork();
    link.href = `${link.getAttribute("href").split("?")[0]}?work=${work}`;
    showWork(link.closest("section"), work);
  });

  // A form that takes a while is sent from here: a browser on its way to the next page shows nothing
  // new on this one.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-work]")) return;
    event.preventDefault();
    sendWork(form, nameWork());
  });

  async function sendWork(form, work) {
    const shown = showWork(form, work);
    const body = new FormData(form);
    const buttons = [...form.querySelectorAll("button")];
    buttons.forEach((button) => { button.disabled = true; });
    form.querySelector(".notice")?.remove();
    try {
      const answer = await fetch(`${form.action}?work=${work}`, { method: "POST", body, credentials: "same-origin" });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      document.querySelector("main").replaceWith(document.adoptNode(fresh.querySelector("main")));
      const notice = document.querySelector("main .notice");
      if (notice) { notice.tabIndex = -1; notice.focus(); }
    } catch {
      form.append(Object.assign(document.createElement("p"), { className: "notice not-done", textContent: NO_ANSWER }));
    } finally {
      shown.end();
      buttons.forEach((button) => { button.disabled = false; });
    }
  }

  function nameWork() {
    return `${Date.now()}-${Math.random().toString(36).slice(2)}`;
  }

  // What takes more than a second shows how far it is, and can be stopped.
  function showWork(part, work) {
    const shown = { stopped: false, say, end };
    let line = null;
    const timer = setInterval(look, 400), began = Date.now();
    async function look() {
      if (Date.now() - began < 1000 || shown.stopped) return;
      const share = await fetch(`/work?work=${work}`).then((answer) => answer.text()).catch(() => "");
      // A work that was under way and is not any more is done; so is one that never came up.
      if (share === "" && (line || Date.now() - began > 5000)) shown.end();
      if (share === "" || shown.stopped || !part.isConnected) return;
      if (!line) draw();
      line.querySelector("progress").value = Number(share);
    }
    function draw() {
      line = document.createElement("p");
      line.className = "work";
      const bar = Object.assign(document.createElement("progress"), { max: 1000 });
      bar.setAttribute("aria-label", "How much of it is worked out");
      const button = Object.assign(document.createElement("button"), { type: "button", className: "quiet-shown", textContent: "Stop" });
      button.addEventListener("click", () => {
        shown.stopped = true;
        fetch("/stop-work", { method: "POST", body: new URLSearchParams({ work }) }).catch(() => {});
        shown.say("Stopped.");
      });
      line.append(bar, " ", button);
      part.append(line);
    }
    function say(words) { if (line) line.textContent = words; }
    function end() { clearInterval(timer); if (line && !shown.stopped) line.remove(); }
    return shown;
  }

  // What is half typed in forms with a button of their own outlives the answer to another form.
  // At the bench a form is known by its stage: its visit may begin with its first reading.
  const namesOf = (form) => form.querySelector("input[name=bench]") ? ["bench"] : ["visit", "batch", "line"];
  const keyOf = (form) => [form.action, ...namesOf(form).map((name) => form.querySelector(`input[type=hidden][name=${name}]`)?.value)].join(" ");
  const typedFields = (form) => [...form.elements].filter((each) => each.matches("input[type=text], input[type=radio], textarea, select"));
  function isChanged(field) {
    if (field.type === "radio") return field.checked !== field.defaultChecked;
    if (!field.options) return field.value !== field.defaultValue;
    return field.selectedIndex !== Math.max(0, [...field.options].findIndex((each) => each.defaultSelected));
  }
  function halfTyped(own) {
    const forms = [...document.forms].filter((form) => form.matches("[data-follow]:not(:has([data-send]))") && keyOf(form) !== own);
    return new Map(forms.filter((form) => typedFields(form).some(isChanged)).map((form) => [keyOf(form), typedFields(form)]));
  }
  function putBack(old) {
    const again = typedFields(this).find((each) => each.name === old.name && (each.type !== "radio" || each.value === old.value));
    if (!again || again === old) return;
    if (again.type === "radio") again.checked = old.checked; else again.value = old.value;
  }

  // What stands in a field and is not sent yet, and what of it is selected. A field that gets
  // its text by script tells nobody of a change when it is left: those are remembered.
  const sent = new WeakMap();
  const unsent = new WeakSet();
  function typedSoFar(field) {
    const isText = typeof field.selectionStart === "number";
    const [start, end] = isText ? [field.selectionStart, field.selectionEnd] : [0, 0];
    const dirty = isText && field.value !== field.defaultValue && sent.get(field) !== field.value;
    return { id: field.id, value: field.value, dirty, start, end, whole: isText && start === 0 && end === field.value.length };
  }

  function pointAt(fret, lane) {
    const board = document.getElementById("board");
    if (!board) return;
    fret = Math.max(0, Math.min(Number(board.dataset.frets), fret));
    lane = Math.max(0, Math.min(Number(board.dataset.lanes) - 1, lane));
    const [fretNow, laneNow] = pointed();
    if (fret === fretNow && lane === laneNow) return;
    aim = { fret, lane };
    showPoint();
  }

  function pointed() {
    if (aim) return [aim.fret, aim.lane];
    const board = document.getElementById("board");
    return board ? [Number(board.dataset.fret), Number(board.dataset.lane)] : [0, 0];
  }

  function send(form, submitter) {
    const body = new URLSearchParams(new FormData(form));
    if (submitter && submitter.name) body.set(submitter.name, submitter.value);
    const field = form.querySelector("[data-send]");
    // What is on its way is no longer half typed: the answer's page says what stands there next.
    for (const each of form.elements) sent.set(each, each.value);
    const path = body.get("path");
    const row = rowOf(form);
    const own = keyOf(form);
    change(async () => {
      const [fret, lane] = pointed();
      if (body.has("fret")) { body.set("fret", fret); body.set("lane", lane); }
      const again = field && document.getElementById(field.id);
      if (body.has("step") && again) {
        body.set("value", again.value);
        body.set("based_on", again.form.elements.based_on.value);
      } else if (ownMoments.has(path)) {
        body.set("based_on", ownMoments.get(path));
      } else if (form.matches("[action$='/undo'], [action$='/redo']")) {
        // These move from what this page shows by now.
        body.set("based_on", momentShown());
      } else if (row) {
        // A row is taken away when it is still the one that was seen, whatever else has changed.
        const now = [...document.forms].find((each) => each.action === form.action && each.elements.path?.value === path);
        if (now && rowOf(now) === row) body.set("based_on", now.elements.based_on.value);
      }
      await store(form.action, body, own);
    });
  }

  // Sends a change. When it is stored, what follows builds on it.
  async function store(address, body, own) {
    while (ownSteps.has(body.get("based_on"))) body.set("based_on", ownSteps.get(body.get("based_on")));
    const [path, based, before] = [body.get("path"), body.get("based_on"), momentShown()];
    const stored = await swap(address, { method: "POST", body }, false, own);
    const moment = momentShown();
    if (!stored || !moment) return;
    if (path) ownMoments.set(path, moment);
    const isMerged = new URLSearchParams(location.search).has("merged");
    if (moment !== before && based === before && !isMerged) ownSteps.set(before, moment);
  }

  // The moment that this page shows.
  function momentShown() {
    return document.querySelector("input[name=based_on]")?.value;
  }

  // What stands in the row of a form that has no field of its own.
  function rowOf(form) {
    const row = !form.querySelector("[data-send]") && form.closest(".tool, tr");
    return row ? [...row.querySelectorAll("[data-send]")].map((field) => field.value).join("\n") : null;
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-follow]")) return;
    event.preventDefault();
    // The enter key both changes a field and sends its form: once is enough.
    const field = form.querySelector("[data-send]");
    if (field && field === justSent && !event.submitter?.name) return;
    send(form, event.submitter);
  });

  document.addEventListener("change", (event) => {
    const field = event.target;
    if (!field.matches("[data-send]")) return;
    const form = field.form;
    unsent.delete(field);
    if (!form.matches("[data-follow]")) { form.requestSubmit(); return; }
    justSent = field;
    setTimeout(() => { justSent = null; }, 0);
    send(form);
  });
  let justSent = null;

  document.addEventListener("focusout", (event) => {
    const field = event.target;
    if (!unsent.has(field) || !field.isConnected) return;
    unsent.delete(field);
    if (field.form.matches("[data-follow]")) send(field.form);
  });

  document.addEventListener("click", (event) => {
    const place = event.target.closest("#plan [data-key], .points [data-key]");
    if (place) {
      const [kind, number] = place.dataset.key.split("-");
      const [fret, lane] = pointed();
      if (kind !== "fret" && kind !== "lane") return;
      if (kind === "fret") pointAt(Number(number), nearestLane(event) ?? lane); else pointAt(fret, Number(number));
      return;
    }
    const row = event.target.closest("tr[data-fret]");
    if (row) { pointAt(Number(row.dataset.fret), pointed()[1]); return; }
    const link = event.target.closest("a[data-point]");
    if (link) {
      event.preventDefault();
      // The rest of the address stays as it is: the surface played on, the stage opened.
      const asked = new URL(link.href).searchParams;
      pointAt(Number(asked.get("fret")), Number(asked.get("lane")));
    }
  });

  // The lane nearest to a point of the plan, by the lanes' own places in the picture.
  function nearestLane(event) {
    let best = null;
    const picture = event.target.closest("svg");
    for (const line of picture.querySelectorAll("[data-key^=lane-]")) {
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
    // An arrow key steps a figure as the buttons beside it do.
    const side = { ArrowUp: "up", ArrowDown: "down" }[event.key];
    const step = side && event.target.matches("input[type=text]") && event.target.form?.querySelector(`button.stepper[value=${side}]`);
    if (step) { event.preventDefault(); event.target.form.requestSubmit(step); return; }
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

  // The big keys write into the figure beside them; a sign stands first, a unit last.
  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    const field = key && key.form && key.form.elements.value;
    if (!field || key.type !== "button") return;
    const word = key.dataset.key;
    if (word === "back") field.value = field.value.replace(/ ?(mm|thou|.)$/, "");
    else if (word === "−") field.value = field.value.startsWith("-") ? field.value.slice(1) : `-${field.value}`;
    else if (word.startsWith(" ")) field.value = field.value.replace(/ ?(mm|thou)$/, "") + word;
    else field.value += word;
  });

  // A file chosen is put into the box beside it, where it can be looked at before it is sent.
  document.addEventListener("change", async (event) => {
    const chooser = event.target;
    if (chooser.type !== "file" || !chooser.dataset.into || !chooser.files.length) return;
    const box = document.getElementById(chooser.dataset.into);
    try {
      box.value = await chooser.files[0].text();
    } catch {
      say("That file cannot be read. Is it still there, and a text?");
    }
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
    if (!trial) return store(slider.dataset.action, fields);
    fields.set("trial", "yes");
    return swap(slider.dataset.action, { method: "POST", body: fields });
  }

  function stepHandle(event, slider) {
    const steps = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 };
    const step = steps[event.key];
    if (!step) return;
    event.preventDefault();
    const same = `[role=slider][data-path="${CSS.escape(slider.dataset.path)}"]`;
    change(async () => {
      const now = document.querySelector(same);
      if (now) await setHandle(now, Number(now.dataset.value) + step);
    });
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
  document.addEventListener("pointerup", () => {
    if (!drag) return;
    const done = drag;
    drag = null;
    if (Math.abs(done.at - done.value) > 0.05) change(() => setHandle(done.slider, done.at));
    else showStored();
  });
  document.addEventListener("pointercancel", () => {
    if (!drag) return;
    drag = null;
    showStored();
  });
  // A drag that came to nothing leaves no trace of what was tried.
  function showStored() {
    change(() => swap(location.pathname + location.search));
  }

  // What changes by itself is asked for again while it may, and while somebody looks.
  setInterval(() => {
    if (document.hidden || changing || !document.querySelector("[data-again]")) return;
    swap(location.pathname + location.search);
  }, 2500);

  // For the script of bench mode.
  window.follow = { place, keyOf, typedFields };
})();
