// Bench mode keeps what is entered until the maker's computer has it: readings and stages done
// wait here, are sent in order, and each once, because each carries a key of its own. Without this
// script every form is sent by its button.
"use strict";
(() => {
  const box = document.getElementById("outbox");
  if (!box) return;
  const STORE = "camberwright outbox";
  const MEND = "camberwright mend";
  const PATIENCE_MS = 15000;
  const LONGEST_PAUSE_MS = 60000;
  const TWICE_MS = 350;
  const { place, keyOf, typedFields } = window.follow;

  // What waits, oldest first. It is read anew each time: another window of this tablet may have
  // sent or added something. A browser that keeps nothing holds it in memory, and says so.
  let memory = [];
  let isKept = true;
  function waiting() {
    try {
      return isKept ? JSON.parse(localStorage.getItem(STORE) || "[]") : memory;
    } catch {
      return memory;
    }
  }
  function store(items) {
    memory = items;
    try {
      localStorage.setItem(STORE, JSON.stringify(items));
      isKept = true;
    } catch {
      isKept = false;
    }
  }
  const drop = (key) => store(waiting().filter((item) => item.key !== key));

  function freshKey() {
    const chance = crypto.getRandomValues(new Uint8Array(12));
    return `${Date.now().toString(36)}-${[...chance].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`;
  }

  // What an entry says, for a list.
  function wordsOf(form) {
    const value = (name) => form.elements[name]?.value ?? "";
    if (form.matches(".done")) return `stage done, ${value("minutes")} min`;
    const kind = value("kind");
    return [kind, value("at"), value(`shows_${kind}`), value("value")].filter(Boolean).join(", ");
  }

  const stageOf = (fields) => fields.find(([name]) => name === "bench")?.[1];
  const formFor = (item) => [...document.forms].find((form) => new URL(form.action).pathname === item.path && form.elements.bench?.value === stageOf(item.fields));
  const stateOf = (form) => JSON.stringify(typedFields(form).map((field) => field.type === "radio" ? field.checked : field.value));

  // The form goes on to the next entry at once; what it held waits in the list.
  const left = new Map();
  function advance(form) {
    for (const name of ["value", "minutes", "note"]) if (form.elements[name]) form.elements[name].value = "";
    const at = form.elements.at;
    const fret = at && at.value.match(/^fret (\d+)$/);
    const last = Number(document.querySelector("#frets option:last-child")?.value.match(/\d+/)?.[0]);
    if (fret && Number(fret[1]) < last) at.value = `fret ${Number(fret[1]) + 1}`;
  }

  let justTaken = { form: null, state: null, at: 0 };
  function take(form) {
    // A finger that bounces enters once: nothing was typed in between.
    const isSame = justTaken.form === keyOf(form) && justTaken.state === stateOf(form);
    if (isSame && Date.now() - justTaken.at < TWICE_MS) return;
    const key = freshKey();
    const fields = [...new FormData(form)].map(([name, value]) => [name, name === "sent_key" ? key : value]);
    const item = { key, path: new URL(form.action).pathname, fields, words: wordsOf(form), at: Date.now() };
    const mended = form.dataset.mends;
    store([...waiting().filter((other) => other.key !== mended), item]);
    delete form.dataset.mends;
    // What was said of the entry before is no longer true.
    document.getElementById("words").replaceChildren();
    advance(form);
    justTaken = { form: keyOf(form), state: stateOf(form), at: Date.now() };
    left.set(key, justTaken.state);
    pause = 0;
    pump();
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches(".bench form[data-keep]")) return;
    event.preventDefault();
    event.stopPropagation();
    take(form);
  }, true);

  let sending = false;
  let pause = 0;
  let timer = null;
  // Why nothing is sent just now; empty while all is well.
  let hindrance = navigator.onLine ? "" : "away";

  async function pump() {
    clearTimeout(timer);
    if (sending) return;
    sending = true;
    show();
    for (let item; (item = waiting().find((each) => !each.wrong));) {
      const outcome = await send(item);
      hindrance = outcome.hindrance || "";
      if (hindrance) { later(outcome.wait); break; }
      pause = 0;
      settle(item, outcome);
    }
    sending = false;
    show();
  }

  function later(wait) {
    pause = Math.min(LONGEST_PAUSE_MS, pause ? pause * 2 : 1000);
    timer = setTimeout(pump, Math.max(pause, wait || 0));
  }

  async function ask(address, options) {
    const stop = new AbortController();
    const late = setTimeout(() => stop.abort(), PATIENCE_MS);
    try {
      const answer = await fetch(address, { ...options, credentials: "same-origin", headers: { "X-Part": "1" }, signal: stop.signal });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      return { answer, page };
    } catch {
      return null;
    } finally {
      clearTimeout(late);
    }
  }

  // Sends one entry; a page that is left meanwhile does not call it back. The program leads a stored one on to its page, and answers a wrong one with
  // words; whatever else comes back is not its answer.
  async function send(item) {
    const heard = await ask(item.path, { method: "POST", keepalive: true, body: new URLSearchParams(item.fields) });
    if (!heard) return { hindrance: "away" };
    const { answer, page } = heard;
    const refusal = page.querySelector("#words .not-done");
    if (answer.status === 401 || answer.status === 403) return { hindrance: "shut out", wait: 15000 };
    if (answer.status >= 500 || answer.status === 408 || answer.status === 429) return { hindrance: "busy", wait: 1000 * Number(answer.headers.get("Retry-After") || 0) };
    const isStored = answer.ok && answer.redirected && page.getElementById("stage");
    if (isStored) return { page, address: answer.url };
    if (answer.ok && !refusal) return { hindrance: "away" };
    const said = (refusal || page.querySelector("main") || page.body).textContent.replace(/\s+/g, " ").trim();
    return { page, wrong: said || `the program answered ${answer.status}` };
  }

  function settle(item, { page, address, wrong }) {
    const form = formFor(item);
    if (!wrong) {
      drop(item.key);
      if (form && page.getElementById("stage")) {
        place(page, false);
        history.replaceState(null, "", address);
        keep(address, page);
      }
    } else {
      store(waiting().map((each) => each.key === item.key ? { ...each, wrong } : each));
      // Where nothing else was typed meanwhile the entry stands in its form again.
      if (form && left.get(item.key) === stateOf(form) && page.getElementById("stage")) {
        place(page, false, keyOf(form));
        mend(item);
      }
    }
    left.delete(item.key);
  }

  // Puts a refused entry back into its form. It leaves the list when the form is entered anew.
  function mend(item) {
    const form = formFor(item);
    if (!form) return false;
    for (const field of typedFields(form)) {
      const value = item.fields.find(([name]) => name === field.name)?.[1];
      if (value === undefined) continue;
      if (field.type === "radio") field.checked = field.value === value; else field.value = value;
    }
    form.dataset.mends = item.key;
    show();
    return true;
  }

  const stageAddress = (item) => `${item.path.replace(/\/[^/]*$/, "/bench")}?stage=${encodeURIComponent(stageOf(item.fields))}`;
  async function goAndMend(item) {
    if (mend(item)) { formFor(item).querySelector("input[name=value], input[name=minutes]")?.focus(); return; }
    if (location.pathname === stageAddress(item).split("?")[0]) {
      await lead(stageAddress(item));
      if (mend(item)) return;
    }
    sessionStorage.setItem(MEND, item.key);
    location.assign(stageAddress(item));
  }

  // Pages of other stages, as they were when they were fetched: they can be leafed through while
  // the connection is away.
  const ahead = new Map();
  const nameOf = (address) => { const url = new URL(address, location.href); return `${url.pathname}?stage=${url.searchParams.get("stage")}`; };
  function keep(address, page) {
    if (page.getElementById("stage")) ahead.set(nameOf(address), { text: page.documentElement.outerHTML, at: Date.now() });
  }
  async function fetchAhead() {
    const stages = (box.dataset.stages || "").split(" ").filter(Boolean);
    for (const stage of stages) {
      const address = `${location.pathname}?stage=${encodeURIComponent(stage)}`;
      if (ahead.has(nameOf(address))) continue;
      const heard = await ask(address);
      if (!heard) return;
      if (heard.answer.ok) keep(address, heard.page);
    }
  }

  async function lead(address, back) {
    const heard = await ask(address);
    const kept = ahead.get(nameOf(address));
    let page = heard && heard.answer.ok && heard.page.getElementById("stage") ? heard.page : null;
    if (page) {
      keep(address, page);
      hindrance = "";
    } else {
      hindrance = heard ? "shut out" : "away";
      page = kept && new DOMParser().parseFromString(kept.text, "text/html");
    }
    if (!page) { note = "That stage was not fetched before, and cannot be now."; show(); return; }
    place(page, false);
    if (!back) history.pushState(null, "", address);
    window.scrollTo(0, 0);
    note = hindrance && `This stage is shown as it was at ${clock(kept.at)}.`;
    show();
    if (!hindrance) pump();
  }
  const clock = (at) => new Date(at).toTimeString().slice(0, 5);

  document.addEventListener("click", (event) => {
    const link = event.target.closest(".stage-steps a");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    lead(link.href);
  });
  window.addEventListener("popstate", () => { if (document.getElementById("stage")) lead(location.href, true); });

  const many = (count, one, more) => count === 1 ? `1 ${one}` : `${count} ${more}`;
  function stateWords(items) {
    const wait = items.filter((item) => !item.wrong).length;
    const wrong = items.length - wait;
    const waits = wait ? `${many(wait, "entry waits", "entries wait")} here and ${wait === 1 ? "is" : "are"} sent by ${wait === 1 ? "itself" : "themselves"}.` : "Nothing waits here.";
    const refused = wrong ? ` ${many(wrong, "entry was", "entries were")} refused: mend ${wrong === 1 ? "it" : "them"} below.` : "";
    const unkept = isKept ? "" : " This browser keeps nothing: leave this page open until all is sent.";
    const first = {
      away: `No connection to the maker's computer: it is out of reach or asleep, or the bench is closed there. ${waits}`,
      "shut out": `This tablet is not paired any more. ${wait ? "What waits is kept: pair it again, and it is sent." : ""}`,
      busy: `The maker's computer is busy, or cannot store just now. ${waits}`,
    }[hindrance];
    return (first ?? (wait ? `Sending: ${many(wait, "entry waits", "entries wait")}.` : wrong ? "" : "All is sent.")) + refused + unkept;
  }

  function button(words, deed) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = words;
    made.addEventListener("click", deed);
    return made;
  }

  function line(item) {
    const made = document.createElement("li");
    made.dataset.key = item.key;
    const said = document.createElement("span");
    said.textContent = `${clock(item.at)} ${item.words}${item.wrong ? `. ${item.wrong}` : ""}`;
    made.append(said);
    if (!item.wrong) return made;
    const inForm = [...document.forms].some((form) => form.dataset.mends === item.key);
    if (inForm) said.textContent += " It stands in its form below.";
    else made.append(button("Mend", () => goAndMend(item)));
    made.append(button("Throw away", () => {
      if (!confirm(`Throw this entry away? ${item.words}`)) return;
      for (const form of document.forms) if (form.dataset.mends === item.key) delete form.dataset.mends;
      drop(item.key);
      show();
    }));
    return made;
  }

  // A word on the stage shown, for as long as it is true.
  let note = "";
  function show() {
    if (!hindrance) note = "";
    const items = waiting();
    const [state, list] = [box.querySelector("p"), box.querySelector("ol")];
    const words = [stateWords(items), note].filter(Boolean).join(" ");
    if (state.textContent !== words) state.textContent = words;
    const again = box.querySelector("a");
    again.hidden = hindrance !== "shut out";
    box.classList.toggle("hindered", Boolean(hindrance) || items.some((item) => item.wrong));
    const active = list.contains(document.activeElement) ? document.activeElement.closest("li").dataset.key : null;
    list.replaceChildren(...items.map(line));
    if (active) [...list.children].find((each) => each.dataset.key === active)?.querySelector("button")?.focus();
    box.hidden = false;
  }

  // A tablet that wakes, or comes back into reach, tries at once.
  function wake() {
    if (document.hidden) return;
    pause = 0;
    if (hindrance === "away" && !waiting().some((item) => !item.wrong)) look(); else pump();
  }
  async function look() {
    const heard = await ask(location.href);
    hindrance = !heard ? "away" : heard.answer.ok ? "" : "shut out";
    if (hindrance) later(); else if (heard.page.getElementById("stage")) place(heard.page, false);
    show();
  }
  window.addEventListener("online", wake);
  window.addEventListener("offline", () => { hindrance = "away"; show(); });
  window.addEventListener("pageshow", wake);
  window.addEventListener("focus", wake);
  document.addEventListener("visibilitychange", wake);
  document.addEventListener("resume", wake);
  window.addEventListener("storage", (event) => { if (event.key === STORE) show(); });

  const toMend = sessionStorage.getItem(MEND);
  if (toMend) {
    sessionStorage.removeItem(MEND);
    const item = waiting().find((each) => each.key === toMend);
    if (item) mend(item);
  }
  keep(location.href, document);
  show();
  pump().then(() => { if (!hindrance) return fetchAhead(); });
})();
